//! What can be asked about the drill.

use leverlane_core::drill::ChunkSize;
use leverlane_core::score::Hand;

use super::{Direction, Intent};
use crate::state::{Level, Notes, PassPlace, Voice};

/// One thing asked about the flip that is drilled and its loop.
#[derive(Clone, Debug)]
pub enum DrillIntent {
    /// Drill this gesture of the plan.
    Select(usize),
    /// Drill the flip after the selected one; the first after the last.
    Next,
    /// Drill the flip before the selected one; the last before the first.
    Previous,
    /// Take this much music around the flip.
    UseChunkSize(ChunkSize),
    /// Loop these bars, by their places in playing order; the flip that is selected, or else the first one in them, is drilled.
    TakeBars {
        /// The first.
        first: usize,
        /// The last, included.
        last: usize,
    },
    /// Loop the bars of the neighbouring flip as well.
    Join(Direction),
    /// Begin or end the loop a bar earlier or later.
    MoveEnd(LoopEnd, Direction),
    /// Show the music so; hidden, the hands find it by feel.
    UseNotes(Notes),
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
}

/// An end of the loop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoopEnd {
    /// Where it begins.
    Begin,
    /// Where it ends.
    End,
}

impl From<DrillIntent> for Intent {
    fn from(intent: DrillIntent) -> Intent {
        Intent::Drill(intent)
    }
}
