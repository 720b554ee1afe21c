//! The window without its threads, its clock and its devices: what it asks for is done at once or noted.

use std::path::PathBuf;
use std::sync::Arc;

use eframe::egui;
use egui_kittest::Harness;
use leverlane_app::apply::apply;
use leverlane_app::effects::{
    DiaryOrder, Effect, ListeningOrder, PlayedPass, SoundOrder, make_plan, make_request, read_bytes, read_draft,
    read_tune,
};
use leverlane_app::intent::{FileIntent, Intent, PlanIntent, ScoreIntent};
use leverlane_app::state::{Loop, Mix, Settings, State};
use leverlane_app::views::{self, ViewState};
use leverlane_app::{demo, shortcuts, theme};
use leverlane_core::plan::Reasons;
use leverlane_engraving::{Answer, Engraver};
use leverlane_formats::{Said, documents};

/// What becomes of drawings that are asked for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Engraving {
    /// They never come, as while the engraver works.
    #[default]
    Awaited,
    /// They are drawn.
    Drawn,
    /// They are refused.
    Refused,
}

#[derive(Default)]
pub struct Bench {
    pub state: State,
    pub views: ViewState,
    /// What the player did, oldest first.
    pub seen: Vec<Intent>,
    /// What a file holds that is read; the demo piece, unless it is told.
    pub file: Option<Vec<u8>>,
    pub sounding: Option<Arc<Loop>>,
    /// The mix that sounds.
    pub mix: Mix,
    pub asked_for_file: bool,
    pub copied: Vec<String>,
    /// What the recovery file holds.
    pub recovery: Option<documents::Piece>,
    /// What was saved, and where.
    pub saved: Vec<(PathBuf, documents::Piece)>,
    pub settings: Option<Settings>,
    pub closed: bool,
    /// What the diary was told, oldest first.
    pub diary: Vec<DiaryOrder>,
    /// What the listener was told, oldest first.
    pub listener: Vec<ListeningOrder>,
    pub engraving: Engraving,
    engraver: Option<Engraver>,
}

impl Bench {
    /// A bench where this becomes of drawings.
    pub fn engraving(engraving: Engraving) -> Bench {
        Bench { engraving, ..Bench::default() }
    }

    pub fn act(&mut self, intent: Intent) {
        for effect in apply(&mut self.state, intent) {
            self.carry_out(effect);
        }
    }

    fn carry_out(&mut self, effect: Effect) {
        match effect {
            Effect::AskForFile(_) => self.asked_for_file = true,
            Effect::Read { job, origin } => {
                let bytes = self.file.as_deref().unwrap_or(demo::PIECE);
                let result = read_bytes(origin, bytes).map(Arc::new);
                self.act(FileIntent::Opened { job, result }.into());
            }
            Effect::Import { job, origin, bytes } => {
                let result = read_bytes(origin, &bytes).map(Arc::new);
                self.act(FileIntent::Opened { job, result }.into());
            }
            Effect::ImportTune { job, tunes, tune } => {
                let result = read_tune(&tunes, tune).map(Arc::new);
                self.act(FileIntent::Opened { job, result }.into());
            }
            Effect::OpenDraft { job, document } => {
                let result = read_draft(*document).map(Arc::new);
                self.act(FileIntent::Opened { job, result }.into());
            }
            Effect::Plan { job, order } => {
                self.act(PlanIntent::Made { job, planned: Arc::new(make_plan(&order)) }.into());
            }
            Effect::Cost { job, order, planned, gesture } => {
                let places =
                    make_request(&order, &planned, |request| Reasons::of(request, &planned.plan).places(gesture));
                self.act(PlanIntent::Costed { job, gesture, places }.into());
            }
            Effect::Sound(SoundOrder::Start { looped, mix, .. }) => {
                self.sounding = Some(looped);
                self.mix = mix;
            }
            Effect::Sound(SoundOrder::NextPass(looped)) => self.sounding = Some(looped),
            Effect::Sound(SoundOrder::Mix(mix)) => self.mix = mix,
            Effect::Sound(SoundOrder::Stop) => self.sounding = None,
            Effect::Listen(order) => self.listener.push(order),
            Effect::Engrave { id, music, size } => match self.engraving {
                Engraving::Awaited => {}
                Engraving::Drawn => {
                    self.engraver().draw(id, music, size);
                    self.take_answer();
                }
                Engraving::Refused => {
                    let drawing = Err(Said::quoted("the engraver refused the music"));
                    self.act(ScoreIntent::Drawn { id, drawing }.into());
                }
            },
            Effect::Picture(request) => {
                self.engraver().picture(request);
                self.take_answer();
            }
            Effect::Diary(order) => self.diary.push(order),
            Effect::Midi(_) => {}
            Effect::Copy(text) => self.copied.push(text),
            Effect::KeepForRecovery(piece) => self.recovery = Some(*piece),
            Effect::ForgetRecovery => self.recovery = None,
            Effect::AskWhereToSave { name, .. } => {
                self.act(FileIntent::SaveTo(Some(PathBuf::from(name))).into());
            }
            Effect::Save { path, document, wishes } => {
                self.saved.push((path.clone(), *document));
                self.act(FileIntent::Saved { path, wishes, result: Ok(()) }.into());
            }
            Effect::KeepSettings(settings) => self.settings = Some(*settings),
            Effect::Close => self.closed = true,
            other => panic!("nothing here carries out {other:?}"),
        }
    }

    pub fn engraver(&mut self) -> &mut Engraver {
        self.engraver.get_or_insert_with(|| Engraver::start(None, || {}).unwrap())
    }

    /// Takes what the engraver answers to the question before.
    pub fn take_answer(&mut self) {
        let intent = match self.engraver().wait().unwrap() {
            Answer::Drawn { id, drawing } => {
                ScoreIntent::Drawn { id, drawing: drawing.map_err(|error| Said::quoted(error.to_string())) }
            }
            Answer::Pictured { request, picture } => ScoreIntent::Pictured { request, picture: picture.unwrap() },
        };
        self.act(intent.into());
    }

    /// The passes that were written down.
    pub fn passes(&self) -> Vec<&PlayedPass> {
        let written = self.diary.iter().filter_map(|order| match order {
            DiaryOrder::Write(pass) => Some(&**pass),
            _ => None,
        });
        written.collect()
    }
}

impl eframe::App for Bench {
    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        let mut intents = shortcuts::read(ui, &self.state);
        intents.extend(views::view(&self.state, &mut self.views, ui));
        for intent in intents {
            self.seen.push(intent.clone());
            self.act(intent);
            ui.ctx().request_repaint();
        }
    }
}

/// A window of usual size over a bench.
pub fn window_over<'a>(theme: egui::Theme, bench: Bench) -> Harness<'a, Bench> {
    let mut harness = Harness::builder()
        .with_size([1280.0, 800.0])
        .with_theme(theme)
        .with_max_steps(24)
        .with_render_cursor(false)
        .build_eframe(|creation| {
            theme::install(&creation.egui_ctx);
            bench
        });
    harness.run();
    harness
}
