//! The processor's own work for a picture, up to the triangles for the graphics processor.

use std::path::Path;
use std::thread::sleep;
use std::time::{Duration, Instant};

use eframe::egui;
use leverlane_app::app::{App, Start};
use leverlane_app::intent::{DrillIntent, FileIntent, Intent};
use leverlane_app::state::{Origin, PassPlace, Place};
use leverlane_core::time::Ticks;

use super::bench::{Bench, Engraving};

/// So many pictures are measured.
const FRAMES: u32 = 600;
/// From picture to picture.
const APART: f64 = 1.0 / 60.0;

/// How long pictures took.
pub struct Frames(Vec<Duration>);

impl Frames {
    pub fn print(mut self, what: &str) {
        self.0.sort_unstable();
        let milliseconds = |time: Duration| time.as_secs_f64() * 1e3;
        let at = |share: f64| milliseconds(self.0[((self.0.len() - 1) as f64 * share) as usize]);
        let (median, most, longest) = (at(0.5), at(0.99), at(1.0));
        println!("{what}: {median:.2} ms, 99 of 100 within {most:.2} ms, the longest {longest:.2} ms");
    }
}

/// A window without a screen.
struct Screenless<A> {
    context: egui::Context,
    frame: eframe::Frame,
    app: A,
    pictures: u32,
}

impl<A: eframe::App> Screenless<A> {
    fn new(context: egui::Context, app: A) -> Screenless<A> {
        Screenless { context, frame: eframe::Frame::_new_kittest(), app, pictures: 0 }
    }

    /// Makes one picture: what happened is told, and how long it took is given.
    fn picture(&mut self, events: Vec<egui::Event>) -> Duration {
        let screen = egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(1280.0, 800.0));
        let time = Some(f64::from(self.pictures) * APART);
        self.pictures += 1;
        let input = egui::RawInput { screen_rect: Some(screen), time, events, ..Default::default() };
        let from = Instant::now();
        let output = self.context.run_ui(input, |ui| {
            self.app.logic(ui.ctx(), &mut self.frame);
            self.app.ui(ui, &mut self.frame);
        });
        let drawn = self.context.tessellate(output.shapes, output.pixels_per_point);
        let taken = from.elapsed();
        assert!(drawn.len() > 1, "there is something to see");
        taken
    }
}

/// The Drill with the demo's first flip, engraved, while its loop goes round.
pub fn playing() -> Frames {
    let context = egui::Context::default();
    leverlane_app::theme::install(&context);
    let mut bench = Bench::engraving(Engraving::Drawn);
    bench.act(FileIntent::Open(Origin::Demo).into());
    bench.act(DrillIntent::Select(0).into());
    bench.act(Intent::Go(Place::Drill));
    let mut window = Screenless::new(context, bench);
    for _ in 0..60 {
        window.picture(Vec::new());
    }
    window.app.act(DrillIntent::StartOrStop.into());
    let length = window.app.sounding.as_ref().map(|looped| looped.timeline.length).expect("the loop sounds");
    // 60 quarters a minute.
    let step = Ticks::new((Ticks::PER_QUARTER as f64 * APART) as i64);
    let mut place = PassPlace { pass: 0, at: Ticks::ZERO };
    let frames = (0..FRAMES).map(|_| {
        place.at += step;
        if place.at >= length {
            place = PassPlace { pass: place.pass + 1, at: Ticks::ZERO };
        }
        window.app.act(DrillIntent::Moved(place).into());
        window.picture(Vec::new())
    });
    Frames(frames.collect())
}

/// A long score, engraved by its worker meanwhile, from its beginning to its end by the wheel.
pub fn scrolling(score: &Path) -> Frames {
    let context = egui::Context::default();
    let app = App::new(&context, Start::With(Origin::File(score.to_owned())), None);
    let mut window = Screenless::new(context, app);
    let is_drawn = |app: &App| app.state().plan.is_some() && !app.state().score.is_awaited();
    while !is_drawn(&window.app) {
        window.picture(Vec::new());
        sleep(Duration::from_millis(5));
    }
    let pointer = egui::Event::PointerMoved(egui::pos2(640.0, 300.0));
    window.picture(vec![pointer]);
    let wheel = || egui::Event::MouseWheel {
        unit: egui::MouseWheelUnit::Point,
        delta: egui::vec2(0.0, -60.0),
        phase: egui::TouchPhase::Move,
        modifiers: egui::Modifiers::NONE,
        source: egui::MouseWheelSource::Wheel,
    };
    let frames = (0..FRAMES).map(|_| {
        let taken = window.picture(vec![wheel()]);
        // The worker has the time between two pictures.
        sleep(Duration::from_secs_f64(APART).saturating_sub(taken));
        taken
    });
    Frames(frames.collect())
}
