//! What takes time or touches the world, and who carries it out.
//!
//! Reading, planning and dialogs each have a thread of their own, named after the work; their results come back through
//! one channel and wake the window.

mod dialog;
mod metronome;
mod planner;
mod reader;
mod sound;

pub use metronome::{Metronome, place_after};
pub use planner::{PlanOrder, make_plan};
pub use reader::read_piece;

use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::Instant;

use eframe::egui;

use crate::intent::Intent;
use crate::state::{Loop, Mix, Origin, PassPlace};
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
    /// Plan the flips.
    Plan {
        /// The job.
        job: u64,
        /// What is asked.
        order: Box<PlanOrder>,
    },
    /// Tell the sound something.
    Sound(SoundOrder),
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
    sound: sound::Desk,
    context: egui::Context,
}

impl Executor {
    /// An executor whose results wake the given window.
    pub fn new(context: &egui::Context) -> Executor {
        let (sender, results) = channel();
        let waking = context.clone();
        let messenger = Messenger { results: sender, wake: Arc::new(move || waking.request_repaint()) };
        Executor {
            results,
            planner: planner::Planner::start(messenger.clone()),
            sound: sound::Desk::open(&messenger),
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
            Effect::Plan { job, order } => self.planner.plan(job, *order, &self.messenger),
            Effect::Sound(order) => self.sound.obey(order, Instant::now()),
            Effect::Copy(text) => self.context.copy_text(text),
        }
    }

    /// What has come back since the last call.
    pub fn results(&mut self) -> Vec<Intent> {
        self.results.try_iter().collect()
    }

    /// Where the sound is now, if it plays.
    pub fn place(&mut self) -> Option<PassPlace> {
        self.sound.place(Instant::now())
    }
}
