//! What the planner answers.

use super::{Change, FlipName, RefusedEdit, RepeatDifference};
use crate::harp::{LeverState, Setting, StringNumber};
use crate::pitch::SpelledPitch;
use crate::score::{BarIndex, Hand, Performance};
use crate::time::{ScoreTime, Seconds};

/// The planned flips of a piece on a harp, and all that is wrong with them.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Where the levers stand before the first note.
    pub start: Setting,
    /// Where they stand after the last flip.
    pub end: Setting,
    /// For each pluck of the performance, in its order, the string it is played on and that string's lever state; none
    /// where it can't be played.
    pub strings: Vec<Option<(StringNumber, LeverState)>>,
    /// The hand movements, in order of time.
    pub gestures: Vec<Gesture>,
    /// What can't be done, or not in time, in order of time.
    pub problems: Vec<Problem>,
    /// What isn't done alike each time through a bar that comes by more than once.
    pub repeats: Vec<RepeatDifference>,
    /// The figures by which plans are compared.
    pub totals: Totals,
    /// How good the plan is known to be.
    pub proof: Proof,
}

/// How good a plan is known to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    /// No plan has better totals.
    BestPossible,
    /// No plan is better by more than this.
    Within(Gap),
}

/// How much better a plan could be at the most. Only the first figure that isn't 0 counts: where fewer gestures could be
/// rushed, nothing is said of the rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Gap {
    /// So many more notes played.
    pub unplayable: u32,
    /// So many fewer rushed gestures.
    pub rushed: u32,
    /// So much less of 10 · flips + 4 · respelled notes.
    pub work: u32,
    /// So much less comfort cost.
    pub comfort: u32,
}

impl Gap {
    /// Nothing better at all.
    pub(super) const NONE: Gap = Gap { unplayable: 0, rushed: 0, work: 0, comfort: 0 };
}

/// One lever moving once.
#[derive(Clone, Debug, PartialEq)]
pub struct Flip {
    /// The string.
    pub string: StringNumber,
    /// Where its lever goes.
    pub to: LeverState,
    /// What the string sounds from then on.
    pub sounds: SpelledPitch,
    /// Where the flip could be made.
    pub window: Window,
}

impl Flip {
    /// What a decision of the player's calls it: the flip by the pluck that needs it.
    pub fn name(&self, performance: &Performance) -> FlipName {
        let bar = performance.bars().get(performance.bar_at(self.window.before));
        let starts = bar.map_or(ScoreTime::START, |bar| bar.starts);
        FlipName {
            string: self.string,
            to: self.to,
            needed_in: bar.map_or(BarIndex::new(0), |bar| bar.bar),
            needed_at: self.window.before - starts,
            time_through: bar.map_or(0, |bar| bar.earlier_times),
        }
    }
}

/// Between which plucks of its string a flip can be made: after the first instant and before the second, on neither.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Window {
    /// The last pluck in the old state; none where the string has not sounded yet.
    pub after: Option<ScoreTime>,
    /// The next pluck, in the new state.
    pub before: ScoreTime,
}

impl Window {
    /// Whether some moment lies in both windows, as far as plucks go.
    pub fn overlaps(&self, other: &Window) -> bool {
        self.after.is_none_or(|after| after < other.before) && other.after.is_none_or(|after| after < self.before)
    }
}

/// One hand movement at one moment: one flip, or neighbouring levers moved the same way together.
#[derive(Clone, Debug, PartialEq)]
pub struct Gesture {
    /// The flip beat.
    pub at: ScoreTime,
    /// The bar it falls in, by its place in the performance.
    pub played_bar: usize,
    /// The hand.
    pub hand: Hand,
    /// The levers moved, from the top string down; at least one.
    pub flips: Vec<Flip>,
    /// What the hand needs from its last pluck to its next: out, flip, back and placed.
    pub needed: Seconds,
    /// What it has of that at the wanted tempo; none where nothing limits it. The flip stands on its beat, so of a gap
    /// that the beat divides badly only the part counts that the tighter side leaves: `needed` times the smaller of
    /// (time before the flip over the time needed out) and (time after over time needed back).
    pub available: Option<Seconds>,
    /// The tempo at which `available` is just `needed`, and the flip still lies between the sounds of its string: graces and
    /// rolls take their own time at any tempo. In the unit of the tempo in force there; none where there is no limit. Unlike a [`Tempo`](crate::time::Tempo) it may lie outside the playable range.
    pub top_tempo: Option<TopTempo>,
    /// Its comfort cost.
    pub comfort: u32,
    /// Whether the player has fixed it.
    pub locked: bool,
}

/// A limit of tempo.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TopTempo {
    /// Quarter notes a minute; 0 where no tempo is slow enough.
    pub quarters_per_minute: f64,
}

impl Gesture {
    /// Whether the hand has less time than it needs.
    pub fn is_rushed(&self) -> bool {
        self.available.is_some_and(|available| available < self.needed)
    }
}

/// The figures by which plans are compared, most weighty first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Totals {
    /// Notes that can't be played.
    pub unplayable: u32,
    /// Gestures with less time than they need.
    pub rushed: u32,
    /// Levers moved.
    pub flips: u32,
    /// Notes played on the neighbour of their written letter's string.
    pub respelled: u32,
    /// The sum of all comfort costs.
    pub comfort: u32,
}

impl Totals {
    /// What a flip weighs against a respelled note.
    pub const FLIP_WEIGHT: u32 = 10;
    /// What a respelled note weighs against a flip.
    pub const RESPELLED_WEIGHT: u32 = 4;

    /// The key by which plans are compared; smaller is better.
    pub fn rank(&self) -> (u32, u32, u32, u32) {
        let work = Self::FLIP_WEIGHT * self.flips + Self::RESPELLED_WEIGHT * self.respelled;
        (self.unplayable, self.rushed, work, self.comfort)
    }
}

/// Something that can't be done as written.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// What is wrong.
    pub kind: ProblemKind,
    /// When.
    pub at: ScoreTime,
    /// The plucks concerned, by their place in the performance.
    pub plucks: Vec<usize>,
    /// The wish that can't be met, and why; only with [`ProblemKind::EditNotMet`].
    pub refused: Option<RefusedEdit>,
    /// What the planner has tried and found to help.
    pub ways_out: Vec<WayOut>,
}

/// The kinds of problem.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ProblemKind {
    /// Higher or lower than the harp.
    OffTheHarp,
    /// A semitone that this tuning can't reach on any string.
    NotInTuning,
    /// A string that would have to be raised has no lever.
    NoLever,
    /// Notes of one moment that need one string in two states, or one string twice.
    SameString,
    /// Two plucks of one string too close together for any flip between them.
    NoRoomForFlip,
    /// A gesture with less time than it needs.
    Rushed,
    /// A wish of the player's that can't be met.
    EditNotMet,
}

/// A change that removes a problem, with what comes of it.
#[derive(Clone, Debug, PartialEq)]
pub struct WayOut {
    /// What to change. [`Change::applied`] says how.
    pub change: Change,
    /// The totals of the plan that was made with the change.
    pub totals: Totals,
}

impl Plan {
    /// Where the levers stand at an instant, flips of that very instant made.
    pub fn setting_at(&self, at: ScoreTime) -> Setting {
        let mut setting = self.start.clone();
        for flip in self.gestures.iter().take_while(|gesture| gesture.at <= at).flat_map(|gesture| &gesture.flips) {
            setting.set(flip.string, flip.to);
        }
        setting
    }
}
