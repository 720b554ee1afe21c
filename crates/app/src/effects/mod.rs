//! What takes time or touches the world, and who carries it out.
//!
//! Reading, planning and dialogs each have a thread of their own, named after the work; their results come back through
//! one channel and wake the window.

mod clock;
mod dialog;
mod diary;
mod folders;
mod listening;
mod metronome;
mod midi;
mod notation;
mod planner;
mod reader;
pub mod recovery;
mod saver;
pub mod settings_file;
mod sound;

pub use clock::now;
pub use diary::{Asker, DiaryOrder, PlayedPass};
pub use folders::Folders;
pub use listening::ListeningOrder;
pub use metronome::{Metronome, place_after};
pub use midi::MidiOrder;
pub use planner::{PlanOrder, make_plan, make_request};
pub use reader::{Kept, Opened, read_bytes, read_draft, read_piece, read_tune};

use leverlane_formats::said;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::Instant;

use eframe::egui;

use leverlane_engraving::{DrawingId, Music, PageSize, PictureRequest};
use leverlane_formats::documents::{self, HarpDocument};
use recovery::Recovery;

use crate::intent::{FileIntent, Intent};
use crate::state::{Loop, Mix, Origin, PassPlace, Planned, Settings, Tunes, Wishes};
use crate::words::Words;

/// Something to be done outside the state.
#[derive(Clone, Debug)]
pub enum Effect {
    /// Put up a file dialog that speaks so.
    AskForFile(Words),
    /// Read a piece.
    Read {
        /// The job.
        job: u64,
        /// Where from.
        origin: Origin,
    },
    /// Read a piece from bytes that are already here.
    Import {
        /// The job.
        job: u64,
        /// What they are called.
        origin: Origin,
        /// The bytes.
        bytes: Arc<[u8]>,
    },
    /// Read one of the tunes of a file.
    ImportTune {
        /// The job.
        job: u64,
        /// The file.
        tunes: Tunes,
        /// The tune, by its place in the file.
        tune: usize,
    },
    /// Read what was written down from paper.
    OpenDraft {
        /// The job.
        job: u64,
        /// It.
        document: Box<documents::Piece>,
    },
    /// Read a piece that a run before left behind.
    TakeUp {
        /// The job.
        job: u64,
        /// Its recovery file.
        file: PathBuf,
    },
    /// Remove what a run before left behind.
    DiscardLeftBehind(PathBuf),
    /// Ask where to save the piece.
    AskWhereToSave {
        /// In these words.
        words: Words,
        /// Under this name, unless she chooses another.
        name: String,
    },
    /// Ask where to save the harp.
    AskWhereToSaveHarp(Words),
    /// Save the piece.
    Save {
        /// Where.
        path: PathBuf,
        /// What.
        document: Box<documents::Piece>,
        /// What is decided about it now.
        wishes: Box<Wishes>,
    },
    /// Save the harp.
    SaveHarp {
        /// Where.
        path: PathBuf,
        /// What.
        harp: Box<HarpDocument>,
    },
    /// Write the open piece where a crash can't reach it.
    KeepForRecovery(Box<documents::Piece>),
    /// What was written for the case of a crash isn't needed any more.
    ForgetRecovery,
    /// Save the settings.
    KeepSettings(Box<Settings>),
    /// Close the window.
    Close,
    /// Work out what it would cost to make a flip elsewhere.
    Cost {
        /// The job.
        job: u64,
        /// What the plan was made from.
        order: Box<PlanOrder>,
        /// The plan.
        planned: Arc<Planned>,
        /// The gesture, by its place in the plan.
        gesture: usize,
    },
    /// Plan the flips.
    Plan {
        /// The job.
        job: u64,
        /// What is asked.
        order: Box<PlanOrder>,
    },
    /// Have music engraved.
    Engrave {
        /// Which drawing.
        id: DrawingId,
        /// The music.
        music: Arc<Music>,
        /// How wide.
        size: PageSize,
    },
    /// Have a picture made of a system.
    Picture(PictureRequest),
    /// Tell the diary something.
    Diary(DiaryOrder),
    /// Tell the sound something.
    Sound(SoundOrder),
    /// Tell the listener something.
    Listen(ListeningOrder),
    /// Tell the MIDI input something.
    Midi(MidiOrder),
    /// Put a text on the clipboard.
    Copy(String),
}

/// What the sound is told.
#[derive(Clone, Debug)]
pub enum SoundOrder {
    /// Count in and loop this, from now on.
    Start {
        /// What to play.
        looped: Arc<Loop>,
        /// How loud.
        mix: Mix,
        /// Which start it is.
        take: u64,
    },
    /// Play this instead, once the pass that sounds is over.
    NextPass(Arc<Loop>),
    /// Fall silent.
    Stop,
    /// Change the loudness.
    Mix(Mix),
}

/// Wakes the window from another thread.
type Wake = Arc<dyn Fn() + Send + Sync>;

/// Sends results home and wakes the window for them.
#[derive(Clone)]
struct Messenger {
    results: Sender<Intent>,
    wake: Wake,
}

impl Messenger {
    fn send(&self, intent: Intent) {
        // The receiver is gone only when the window is closing: nobody is left to tell.
        if self.results.send(intent).is_ok() {
            (self.wake)();
        }
    }
}

/// Carries out effects.
pub struct Executor {
    results: Receiver<Intent>,
    messenger: Messenger,
    planner: planner::Planner,
    diary: diary::Keeper,
    sound: sound::Desk,
    listening: listening::Desk,
    midi: midi::Desk,
    notation: notation::Notation,
    folders: Option<Folders>,
    recovery: Option<Recovery>,
    is_closing: bool,
    context: egui::Context,
}

impl Executor {
    /// An executor whose results wake the given window, and which keeps its files in the given folders.
    pub fn new(context: &egui::Context, folders: Option<Folders>) -> Executor {
        let (sender, results) = channel();
        let waking = context.clone();
        let messenger = Messenger { results: sender, wake: Arc::new(move || waking.request_repaint()) };
        let latencies = folders.as_ref().map(Folders::latency_file);
        let diary = folders.as_ref().map(Folders::diary_file);
        let recovery = folders.as_ref().and_then(|folders| begin_recovery(folders, &messenger));
        let fonts = folders.as_ref().map(|folders| folders.cache.clone());
        Executor {
            results,
            notation: notation::Notation::new(fonts, messenger.clone()),
            folders,
            recovery,
            is_closing: false,
            planner: planner::Planner::start(messenger.clone()),
            diary: diary::Keeper::start(messenger.clone(), diary),
            sound: sound::Desk::open(&messenger),
            listening: listening::Desk::new(latencies, &messenger),
            midi: midi::Desk::new(messenger.clone()),
            messenger,
            context: context.clone(),
        }
    }

    /// Starts an effect; returns at once.
    pub fn run(&mut self, effect: Effect) {
        match effect {
            Effect::AskForFile(words) => dialog::ask_for_file(self.messenger.clone(), words),
            Effect::Read { job, origin } => reader::read(self.messenger.clone(), job, origin),
            Effect::Import { job, origin, bytes } => reader::import(self.messenger.clone(), job, origin, bytes),
            Effect::ImportTune { job, tunes, tune } => reader::import_tune(self.messenger.clone(), job, tunes, tune),
            Effect::OpenDraft { job, document } => reader::open_draft(self.messenger.clone(), job, document),
            Effect::TakeUp { job, file } => reader::take_up(self.messenger.clone(), job, file),
            Effect::DiscardLeftBehind(file) => {
                if let Some(recovery) = &self.recovery {
                    recovery.discard(file);
                }
            }
            Effect::AskWhereToSave { words, name } => {
                dialog::ask_where_to_save(self.messenger.clone(), words, &name);
            }
            Effect::AskWhereToSaveHarp(words) => dialog::ask_where_to_save_harp(self.messenger.clone(), words),
            Effect::Save { path, document, wishes } => saver::save(self.messenger.clone(), path, document, wishes),
            Effect::SaveHarp { path, harp } => saver::save_harp(&self.messenger, path, &harp),
            Effect::KeepForRecovery(document) => {
                if let Some(recovery) = &self.recovery {
                    recovery.keep(*document);
                }
            }
            Effect::ForgetRecovery => {
                if let Some(recovery) = &self.recovery {
                    recovery.forget();
                }
            }
            Effect::KeepSettings(settings) => self.keep_settings(&settings),
            Effect::Close => {
                self.is_closing = true;
                self.context.send_viewport_cmd(egui::ViewportCommand::Close);
            }
            Effect::Cost { job, order, planned, gesture } => self.planner.cost(job, *order, planned, gesture),
            Effect::Plan { job, order } => self.planner.plan(job, *order, &self.messenger),
            Effect::Engrave { id, music, size } => self.notation.draw(id, music, size),
            Effect::Picture(request) => self.notation.picture(request),
            Effect::Diary(order) => self.diary.order(order),
            Effect::Sound(order) => {
                self.sound.obey(order, Instant::now());
                self.listening.follow(&mut self.sound);
            }
            Effect::Listen(order) => self.listening.obey(order, &mut self.sound),
            Effect::Midi(order) => self.midi.obey(order),
            Effect::Copy(text) => self.context.copy_text(text),
        }
    }

    fn keep_settings(&self, settings: &Settings) {
        let Some(folders) = &self.folders else { return };
        if let Err(reason) = settings_file::save(&folders.settings_file(), settings) {
            self.messenger.send(Intent::Trouble(reason));
        }
    }

    /// Whether the window was told to close, so that it needn't ask again.
    pub fn is_closing(&self) -> bool {
        self.is_closing
    }

    /// What has come back since the last call.
    pub fn results(&mut self) -> Vec<Intent> {
        let mut results: Vec<Intent> = self.results.try_iter().chain(self.notation.results()).collect();
        results.extend(self.listening.results(&mut self.sound));
        results
    }

    /// Where the sound is now, if it plays.
    pub fn place(&mut self) -> Option<PassPlace> {
        self.sound.place(Instant::now())
    }
}

/// Takes this run's recovery file, and tells of the pieces that runs before left behind.
fn begin_recovery(folders: &Folders, messenger: &Messenger) -> Option<Recovery> {
    let left: Vec<(PathBuf, String)> =
        recovery::left_behind(&folders.recovery).into_iter().map(|(file, piece)| (file, piece.title)).collect();
    if !left.is_empty() {
        messenger.send(FileIntent::LeftBehind(left).into());
    }
    let failed = messenger.clone();
    match Recovery::begin(&folders.recovery, move |reason| failed.send(Intent::Trouble(reason))) {
        Ok(recovery) => Some(recovery),
        Err(error) => {
            let folder = folders.recovery.display();
            messenger.send(Intent::Trouble(said!(
                "{folder}: {error}; what you decide would be lost in a crash: check that you may write there",
                folder = folder.to_string(),
                error = error.to_string()
            )));
            None
        }
    }
}
