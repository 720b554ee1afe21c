//! Bars and what steers the way through them.

use crate::meter::Meter;
use crate::pitch::Key;
use crate::time::{Tempo, Ticks};

/// A bar's place in the score, from 0. Printed numbers may repeat or be no numbers; this one is the key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct BarIndex(usize);

impl BarIndex {
    /// The bar at a place in the score, from 0.
    pub const fn new(index: usize) -> Self {
        BarIndex(index)
    }

    /// The place in the score, from 0.
    pub const fn get(self) -> usize {
        self.0
    }
}

/// One written bar, common to all parts.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    /// The printed number, which may be no number at all.
    pub number: String,
    /// How long the bar lasts; more than nothing. It may differ from the meter's full bar.
    pub length: Ticks,
    /// The meter in force.
    pub meter: Meter,
    /// How much of a full bar is missing before this one begins: a pickup of a quarter in 4/4 has 3/1 here. Zero for
    /// ordinary bars, also for short ones that break off early.
    pub anacrusis: Ticks,
    /// The key signature in force.
    pub key: Key,
    /// Tempo marks inside the bar, in order.
    pub tempo_marks: Vec<TempoMark>,
    /// Repeats, endings and jumps that stand at this bar.
    pub navigation: Navigation,
}

/// A tempo that begins somewhere in a bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TempoMark {
    /// From the start of the bar.
    pub at: Ticks,
    /// The tempo from there on.
    pub tempo: Tempo,
}

/// What stands at a bar to steer the playing order (the attributes of MusicXML 4.0's `repeat`, `ending` and `sound`).
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Navigation {
    /// A forward repeat sign at the bar's beginning.
    pub repeat_start: bool,
    /// A backward repeat sign at its end.
    pub repeat_end: Option<RepeatEnd>,
    /// The ending ("first time", "second time") that the bar belongs to.
    pub ending: Option<Ending>,
    /// A segno at the bar's beginning, by its name.
    pub segno: Option<String>,
    /// A coda sign (the place jumped to) at the bar's beginning, by its name.
    pub coda: Option<String>,
    /// "To coda" at the bar's end.
    pub to_coda: Option<ToCoda>,
    /// A jump back at the bar's end.
    pub jump: Option<Jump>,
    /// "Fine": after a jump the music ends with this bar.
    pub fine: bool,
}

/// A backward repeat sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RepeatEnd {
    /// How many times in all the passage is played, 2 or more by default; 1 plays it once.
    pub times: u8,
    /// Whether the repeat is taken again after a jump.
    pub after_jump: bool,
}

/// A bar's ending bracket.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ending {
    /// The times through on which the bar is played, from 1.
    pub passes: Vec<u8>,
    /// Whether the bracket begins at this bar.
    pub starts: bool,
    /// Whether the bracket ends at this bar.
    pub stops: bool,
}

/// A jump back at a bar's end, taken once.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Jump {
    /// Where to.
    pub target: JumpTarget,
    /// The times through the repeated passage on which it is taken, from 1 (`time-only`); empty where nothing is said,
    /// which means the first time that the bar's own repeat lets the music go on.
    pub passes: Vec<u8>,
}

/// Where a jump back leads.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum JumpTarget {
    /// To the beginning.
    DaCapo,
    /// To the segno of this name.
    DalSegno(String),
}

/// A jump ahead to a coda at a bar's end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToCoda {
    /// The name of the coda.
    pub coda: String,
    /// The times through the repeated passage on which it is taken, from 1 (`time-only`); empty where nothing is said,
    /// which means after a jump back.
    pub passes: Vec<u8>,
}
