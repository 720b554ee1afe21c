//! What can be asked about the drill.

use leverlane_core::drill::ChunkSize;
use leverlane_core::score::Hand;

use super::{Direction, Intent};
use crate::state::{Level, PassPlace, Voice};

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
    /// Hide the notes, so that the hands find them by feel, or show them again.
    SwitchNotes,
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

impl From<DrillIntent> for Intent {
    fn from(intent: DrillIntent) -> Intent {
        Intent::Drill(intent)
    }
}
