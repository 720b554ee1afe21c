//! The plan: which levers stand where at the start, and which are flipped when, with which hand.
//!
//! ```text
//! Performance ─┐
//! Harp ────────┼→ strings and demands → windows → hands and time → choice → Plan
//! tempo, pace ─┘
//! ```
//!
//! [`plan`] is the way in and [`Plan`] what comes out of it.

mod answer;
mod assemble;
mod bare;
mod bench;
mod bound;
mod change;
mod comfort;
mod cost;
mod demand;
mod edit;
mod hand_pace;
mod hand_track;
mod joint;
mod looking;
mod marks;
mod need;
mod own_pace;
mod placement;
mod places;
mod problems;
mod reach;
mod reasons;
mod repeats;
mod sounding;
mod strings;
#[cfg(test)]
pub(crate) mod tests;
mod tunings;
mod ways_out;
mod wishes;
mod written_marks;

pub use answer::{Flip, Gap, Gesture, Plan, Problem, ProblemKind, Proof, TopTempo, Totals, WayOut, Window};
pub use bare::{BarePlan, BareRequest, UnmetFlip, WantedFlip, bare_plan};
pub use change::{Arrangement, Change};
pub use edit::{Edit, FlipName, Refusal, RefusedEdit, with_edit, without_edit};
pub use hand_pace::{HandPace, PaceLevel, UnknownPace};
pub use looking::{LookTime, look_times};
pub use marks::{FlipMark, MarkText, StartLetter, StartList, flip_marks, ordinal};
pub use own_pace::{Goal, Pace, PaceFactor, TempoLimit};
pub use reasons::{CostPart, PlaceCost, Reason, Reasons, Why};
pub use repeats::{Differing, FlipPlace, RepeatDifference};
pub use tunings::tunings_ranked;
pub use ways_out::plan_with_ways_out;
pub use written_marks::{MarkedEdits, UnmetMark, UnmetMarkReason, edits_of_marks};

use crate::harp::Harp;
use crate::score::Performance;
use crate::time::TempoMap;

/// What a plan is asked for.
#[derive(Clone, Copy, Debug)]
pub struct Request<'a> {
    /// The piece as it is played.
    pub performance: &'a Performance,
    /// The player's harp.
    pub harp: &'a Harp,
    /// The tempo she wants, on the performance's score time.
    pub tempo: &'a TempoMap,
    /// How fast her hands are.
    pub pace: &'a HandPace,
    /// What she has decided herself.
    pub edits: &'a [Edit],
    /// What follows the last bar.
    pub ending: EndOfPiece,
}

/// What follows the last bar.
///
/// In a loop each hand comes from its last pluck of the pass before, and has to be back for the first of the next. What the pass
/// before does to a flip through a lever moved by the same hand is left aside.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum EndOfPiece {
    /// Nothing: the levers may stay as they are.
    #[default]
    Stop,
    /// The beginning again: the levers must come back to the start setting.
    Loop,
}

/// Plans the flips of a piece. Never fails: what can't be done is told as problems.
///
/// Strings are chosen first, each flip priced at its best place alone, then all flips are placed together; where they get in
/// each other's way, other strings are tried. [`Plan::proof`] tells how good the plan is known to be.
pub fn plan(request: &Request<'_>) -> Plan {
    let bench = bench::Bench::new(request);
    let ways = demand::Ways::of(request.harp);
    let decided = joint::decide(&bench, &ways);
    assemble::plan(&bench, &ways, decided)
}
