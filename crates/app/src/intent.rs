//! Everything that can be asked of the window: by a button, a key, a pedal, or by a thread that has finished.

use std::path::PathBuf;
use std::sync::Arc;

use leverlane_core::drill::ChunkSize;
use leverlane_core::harp::{Preset, Tuning};
use leverlane_core::plan::PaceLevel;
use leverlane_core::score::Hand;

use crate::state::{Level, Origin, PassPlace, Piece, Planned, Voice};

/// One thing asked.
#[derive(Clone, Debug)]
pub enum Intent {
    /// Ask the player for a file.
    AskForFile,
    /// She chose one, or none.
    FileChosen(Option<PathBuf>),
    /// Open a piece.
    Open(Origin),
    /// Open a piece from bytes that are already here.
    OpenBytes {
        /// What to call it.
        name: String,
        /// The bytes.
        bytes: Arc<[u8]>,
    },
    /// An opening job is done: a piece, or one line that says why not.
    Opened {
        /// Which job.
        job: u64,
        /// What came of it.
        result: Result<Arc<Piece>, String>,
    },
    /// A planning job is done.
    PlanMade {
        /// Which job.
        job: u64,
        /// What came of it.
        planned: Arc<Planned>,
    },
    /// Play on a harp of this range.
    UsePreset(Preset),
    /// Play on a harp tuned so.
    UseTuning(Tuning),
    /// Plan for hands this fast.
    UsePace(PaceLevel),
    /// Change the tempo the plan must hold at by so many of its beats a minute.
    ChangeGoal(f64),
    /// Do what a problem's way out says.
    TakeWayOut {
        /// The problem, by its place in the plan.
        problem: usize,
        /// The way out, by its place in the problem.
        way: usize,
    },
    /// Give up all decisions about single flips.
    ForgetEdits,
    /// Drill this gesture of the plan.
    SelectFlip(usize),
    /// Drill the flip after the selected one; the first after the last.
    NextFlip,
    /// Drill the flip before the selected one; the last before the first.
    PreviousFlip,
    /// Take this much music around the flip.
    UseChunkSize(ChunkSize),
    /// Start the loop if it is silent, stop it if it sounds.
    StartOrStop,
    /// Stop the loop.
    Stop,
    /// Change the practice tempo by so many of its beats a minute.
    ChangeTempo(f64),
    /// Practise at the goal tempo.
    TempoToGoal,
    /// Make a voice so loud.
    SetLevel(Voice, Level),
    /// Silence a hand, or let it be heard again.
    SwitchHand(Hand),
    /// The sound has got so far.
    Moved(PassPlace),
    /// There is a sound device.
    SoundReady,
    /// There is no sound, for this reason; everything else goes on.
    NoSound(String),
    /// The sound broke off, for this reason.
    SoundLost(String),
    /// Something failed that the player should know of.
    Trouble(String),
    /// Open the help page, or close it.
    SwitchHelp,
    /// Take the message away.
    DismissNotice,
    /// Take the remark that there is no sound away; it comes again only for another reason.
    DismissSilence,
    /// Put a text on the clipboard.
    Copy(String),
}
