//! What sounds when in one pass.

use crate::pitch::MidiNote;
use crate::score::Hand;
use crate::time::{TempoMap, Ticks};

/// How strong a click is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Accent {
    /// The first beat of a bar.
    Bar,
    /// A beat.
    Beat,
    /// Between beats.
    Division,
}

/// Which flip a cue is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cue {
    /// A gesture of the plan, by its place there.
    Planned(usize),
    /// A reset at the seam, by its place in the chunk.
    Reset(usize),
}

/// Something that sounds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum EventKind {
    /// A click.
    Click(Accent),
    /// The cue tone, exactly on the flip beat.
    Cue(Cue),
    /// A string plucked.
    Pluck {
        /// What sounds.
        note: MidiNote,
        /// The hand that plays it.
        hand: Hand,
        /// The pluck's place in the performance.
        pluck: usize,
    },
}

/// One thing that sounds, at its time within the pass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Event {
    /// From the start of the pass.
    pub at: Ticks,
    /// What sounds.
    pub kind: EventKind,
}

/// One pass through a chunk, in exact time: what sounds when, and where the next pass begins.
#[derive(Clone, Debug, PartialEq)]
pub struct Timeline {
    /// The count-in's clicks, from its own start; played once, before the first pass.
    pub count_in: Vec<Event>,
    /// How long the count-in is.
    pub count_in_length: Ticks,
    /// The pass's events by time.
    pub events: Vec<Event>,
    /// How long a pass is: whole bars, reset bars included. The next begins here.
    pub length: Ticks,
    /// The tempo within a pass, counted from its start; the count-in goes at its opening tempo.
    pub tempo: TempoMap,
}

/// What a timeline is made with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TimelineOptions {
    /// Bars counted before the first pass.
    pub count_in_bars: u8,
}
