//! A lesson's way there and back: a student practises it, her results go into a file, and her teacher's diary shows them.
//! The window's state and its real threads and files, without a picture and without a sound device.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::path::{Path, PathBuf};
use std::time::Duration;

use eframe::egui;
use leverlane_app::apply::apply;
use leverlane_app::demo;
use leverlane_app::effects::{Effect, Executor, Folders, PlanOrder, SoundOrder, make_plan, read_piece};
use leverlane_app::intent::{DiaryIntent, DrillIntent, FileIntent, Intent, PracticeIntent};
use leverlane_app::state::{Moment, Origin, PassPlace, Place, State};
use leverlane_core::drill::{ChunkSize, Cue, LadderPlan, Layer, RungStep, Scheme};
use leverlane_core::plan::PaceLevel;
use leverlane_core::time::Ticks;
use leverlane_formats::documents::{Lesson, LessonChunk, Piece, Source};

/// The window without its picture. Where the sound is, is told by hand.
struct Window {
    state: State,
    executor: Executor,
}

impl Window {
    fn inside(folder: &Path) -> Window {
        let executor = Executor::new(&egui::Context::default(), Some(Folders::inside(folder)));
        let mut window = Window { state: State::default(), executor };
        window.act(PracticeIntent::Now(Moment { at: 1_796_300_000, day: 20_790 }));
        window
    }

    fn act(&mut self, intent: impl Into<Intent>) {
        for effect in apply(&mut self.state, intent.into()) {
            if !matches!(effect, Effect::Sound(SoundOrder::Start { .. } | SoundOrder::NextPass(_))) {
                self.executor.run(effect);
            }
        }
    }

    /// Takes in results until something is so, two minutes long at most.
    fn until<T>(&mut self, what: &str, is_so: impl Fn(&Window) -> Option<T>) -> T {
        for _ in 0..12_000 {
            for intent in self.executor.results() {
                self.act(intent);
            }
            if let Some(found) = is_so(self) {
                return found;
            }
            // Nothing is waited for by the clock; this only keeps the loop from taking a whole core.
            std::thread::park_timeout(Duration::from_millis(10));
        }
        panic!("waited in vain for {what}; {:?}", self.state.notice);
    }

    fn clean_pass(&mut self, pass: u64) {
        let (looped, plan) = (self.state.drill.looped.clone().unwrap(), self.state.plan.clone().unwrap());
        let own = Cue::Planned(self.state.drill.selected.unwrap());
        let flip = looped.gestures(&plan.plan).find(|placed| placed.cue == own).unwrap().at;
        for at in [Ticks::ZERO, flip] {
            self.act(DrillIntent::Moved(PassPlace { pass, at }));
        }
        self.act(PracticeIntent::RightPedal);
        self.act(DrillIntent::Moved(PassPlace { pass: pass + 1, at: Ticks::ZERO }));
    }
}

fn lesson() -> Lesson {
    let piece = read_piece(Origin::Demo, demo::PIECE).unwrap();
    let written = piece.performance.tempo().opening();
    let order = PlanOrder {
        piece: piece.clone().into(),
        harp: demo::harp().harp(),
        pace: PaceLevel::Fluent.into(),
        goal: written,
        edits: Vec::new(),
    };
    let flip = make_plan(&order).plan.gestures[1].flips[0].name(&piece.performance);
    let ladder = LadderPlan::new(written, written, written, RungStep::Beats(5.0), 2, Scheme::Climb).unwrap();
    let source = Source::Inside { name: "greensleeves.musicxml".into(), bytes: demo::PIECE.to_vec(), tune: 0 };
    Lesson {
        title: "For Thursday".into(),
        note: String::new(),
        piece: Piece { tempo: Some(written), ..Piece::new("Greensleeves", source, demo::harp()) },
        chunks: vec![LessonChunk { flip, size: ChunkSize::FlipBar, layer: Layer::Both, ladder }],
    }
}

#[test]
fn what_a_student_has_held_is_read_by_her_teacher() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("lesson.ron");
    std::fs::write(&file, lesson().write().unwrap()).unwrap();
    let mut student = Window::inside(&folder.path().join("student"));
    student.act(FileIntent::Open(Origin::File(file)));
    student.until("the lesson", |window| window.state.drill.practice.is_some().then_some(()));
    student.act(PracticeIntent::RightPedal);
    student.clean_pass(0);
    student.clean_pass(1);
    student.act(DiaryIntent::Name("Anna".into()));
    student.act(DiaryIntent::WriteResults);
    let results: PathBuf = folder.path().join("student").join("diary").join("results.ron");
    student.until("the results", |_| results.exists().then_some(()));
    let written = std::fs::read_to_string(&results).unwrap();
    assert!(written.contains("Anna") && written.contains("For Thursday"), "{written}");
    let elsewhere = folder.path().to_string_lossy().into_owned();
    assert!(!written.contains(&elsewhere), "nothing of her machine is in it: {written}");

    let mut teacher = Window::inside(&folder.path().join("teacher"));
    teacher.act(FileIntent::Open(Origin::File(results)));
    let students = teacher.until("Anna's days", |window| {
        let picture = window.state.diary.picture.as_ref()?;
        (!picture.students.is_empty()).then(|| picture.students.clone())
    });
    assert_eq!(teacher.state.place, Place::Diary);
    let [anna] = &students[..] else { panic!("{students:?}") };
    assert_eq!((anna.student.as_str(), anna.piece.as_str()), ("Anna", "Greensleeves"));
    let [day] = &anna.days[..] else { panic!("{anna:?}") };
    assert_eq!((day.passes, day.judged, day.clean), (2, 2, 2));
    // The demo is marked 40 dotted quarters a minute: 60 quarters.
    assert_eq!(day.held, Some(60.0));
}
