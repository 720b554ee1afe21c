//! The plan as JSON.
//!
//! ```text
//! {"harp", "start":[{"string","open","to"}],
//!  "gestures":[{"bar","index","beat","onset","hand","flips":[{"string","open","to","sounds"}],
//!               "needed_s","available_s","top_tempo","why","look"}],
//!  "problems":[{"kind","bar","index","beat","notes","ways_out":[{"kind","words","totals"}]}],
//!  "repeats":[{"bar","index","times","words","kind"}],
//!  "totals":{"unplayable","rushed","flips","respelled","comfort"},
//!  "proof":{"best_possible","within":{"unplayable","rushed","work","comfort"}}, "warnings":[{"bar","reason"}]}
//! ```
//!
//! `harp` is its name. `start` lists every string from the top (number 1) with its open pitch and where its lever
//! stands, "up" or "down". `bar` is the printed number, a text; `index` the bar's place in the score from 0. `beat`
//! counts the meter's beats from 1 (dotted ones in 6/8), with decimals between them. `onset` is in quarter notes from
//! the start of playing, repeats played out, as "n/d". `hand` is "left" or "right". `sounds` is what the string sounds
//! from then on. `needed_s` and `available_s` are seconds at the wanted tempo, `top_tempo` is quarter notes a minute;
//! the last two are null where nothing limits them; `why` and `look` stand in [`super::why`]. A gesture is rushed where `available_s` is less than `needed_s`.
//! `notes` are the pitches concerned as written. A problem's `kind` is one of off_the_harp, not_in_tuning, no_lever,
//! same_string, no_room_for_flip, rushed and edit_not_met; a way out's, of slower (with `tempo` in quarter notes a
//! minute), tuning and harp (with `tuning`), retune, other_hand, other_string, set_beforehand, damp, edit, withdraw,
//! note_to_other_hand, octave and drop; `words` says it in a sentence, and `totals` are those of the plan made with it.
//! `repeats` stand in [`super::repeats`].

use leverlane_core::meter::Counting;
use leverlane_core::plan::{Change, Flip, Gap, Gesture, Problem, Proof, Reasons, Totals, WayOut, look_times};
use leverlane_core::score::PlayedBar;
use leverlane_core::time::ScoreTime;
use serde::Serialize;

use super::repeats::{self, RepeatAnswer};
use super::why::{LookAnswer, WhyAnswer, look_answer, why_answer};
use super::words;
use crate::levers::{LeverAnswer, levers};
use crate::notes::{WarningAnswer, warning_answer};
use crate::planned::Planned;

/// The whole answer.
#[derive(Debug, Serialize)]
pub struct Answer<'a> {
    harp: &'a str,
    start: Vec<LeverAnswer>,
    gestures: Vec<GestureAnswer<'a>>,
    problems: Vec<ProblemAnswer<'a>>,
    repeats: Vec<RepeatAnswer<'a>>,
    totals: TotalsAnswer,
    proof: ProofAnswer,
    warnings: Vec<WarningAnswer<'a>>,
}

/// How good the plan is known to be.
#[derive(Debug, Serialize)]
struct ProofAnswer {
    best_possible: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    within: Option<GapAnswer>,
}

#[derive(Debug, Serialize)]
struct GapAnswer {
    unplayable: u32,
    rushed: u32,
    work: u32,
    comfort: u32,
}

/// A moment of the piece.
#[derive(Debug, Serialize)]
pub struct Place<'a> {
    bar: &'a str,
    index: usize,
    beat: f64,
}

#[derive(Debug, Serialize)]
struct GestureAnswer<'a> {
    #[serde(flatten)]
    place: Place<'a>,
    onset: String,
    hand: String,
    flips: Vec<FlipAnswer>,
    needed_s: f64,
    available_s: Option<f64>,
    top_tempo: Option<f64>,
    why: Option<WhyAnswer<'a>>,
    look: Option<LookAnswer>,
}

#[derive(Debug, Serialize)]
struct FlipAnswer {
    string: u8,
    open: String,
    to: String,
    sounds: String,
}

#[derive(Debug, Serialize)]
struct ProblemAnswer<'a> {
    kind: &'static str,
    #[serde(flatten)]
    place: Place<'a>,
    notes: Vec<String>,
    ways_out: Vec<WayOutAnswer>,
}

#[derive(Debug, Serialize)]
struct WayOutAnswer {
    kind: &'static str,
    words: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    tempo: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    tuning: Option<&'static str>,
    totals: TotalsAnswer,
}

/// What plans are compared by.
#[derive(Debug, Serialize)]
pub struct TotalsAnswer {
    unplayable: u32,
    rushed: u32,
    flips: u32,
    respelled: u32,
    comfort: u32,
}

impl<'a> Answer<'a> {
    pub fn new(planned: &'a Planned) -> Answer<'a> {
        let plan = &planned.plan;
        let request = planned.request();
        let reasons = Reasons::of(&request, plan);
        let looks = look_times(&request, plan);
        let gesture = |(index, gesture)| {
            let mut answer = gesture_answer(planned, gesture);
            answer.why = reasons.why(index).map(|why| why_answer(planned, &why));
            answer.look = looks.get(index).map(|look| look_answer(planned, look));
            answer
        };
        Answer {
            harp: planned.harp.name(),
            start: levers(&planned.harp, &plan.start),
            gestures: plan.gestures.iter().enumerate().map(gesture).collect(),
            problems: plan.problems.iter().map(|problem| problem_answer(planned, problem)).collect(),
            repeats: plan.repeats.iter().filter_map(|told| repeats::answer(planned, told)).collect(),
            totals: totals(plan.totals),
            proof: proof(plan.proof),
            warnings: planned.warnings.iter().map(warning_answer).collect(),
        }
    }
}

/// A moment of a played bar.
pub fn place(planned: &Planned, bar: usize, at: ScoreTime) -> Place<'_> {
    let played = &planned.performance.bars()[bar];
    Place {
        bar: planned.score.bar(played.bar).map_or("", |bar| &bar.number),
        index: played.bar.get(),
        beat: beat_number(played, at),
    }
}

fn beat_number(played: &PlayedBar, at: ScoreTime) -> f64 {
    to_thousandths(played.place_of(at, Counting::Beats).as_number())
}

/// A beat to a thousandth, which tells all usual divisions apart.
pub fn to_thousandths(beat: f64) -> f64 {
    (beat * 1000.0).round() / 1000.0
}

/// Microseconds and millionths of a beat a minute: what lies beyond is noise of the arithmetic.
pub fn to_millionths(number: f64) -> f64 {
    (number * 1e6).round() / 1e6
}

fn gesture_answer<'a>(planned: &'a Planned, gesture: &Gesture) -> GestureAnswer<'a> {
    GestureAnswer {
        place: place(planned, gesture.played_bar, gesture.at),
        onset: gesture.at.to_string(),
        hand: gesture.hand.to_string(),
        flips: gesture.flips.iter().map(|flip| flip_answer(planned, flip)).collect(),
        needed_s: to_millionths(gesture.needed.get()),
        available_s: gesture.available.map(|available| to_millionths(available.get())),
        top_tempo: gesture.top_tempo.map(|top| to_millionths(top.quarters_per_minute)),
        why: None,
        look: None,
    }
}

fn flip_answer(planned: &Planned, flip: &Flip) -> FlipAnswer {
    FlipAnswer {
        string: flip.string.get(),
        open: planned.harp.string(flip.string).map_or_else(String::new, |string| string.open.ascii()),
        to: flip.to.to_string(),
        sounds: flip.sounds.ascii(),
    }
}

fn problem_answer<'a>(planned: &'a Planned, problem: &Problem) -> ProblemAnswer<'a> {
    let plucks = planned.performance.plucks();
    ProblemAnswer {
        kind: words::kind(problem.kind),
        place: place(planned, planned.performance.bar_at(problem.at), problem.at),
        notes: problem.plucks.iter().filter_map(|&pluck| Some(plucks.get(pluck)?.pitch.ascii())).collect(),
        ways_out: problem.ways_out.iter().map(|way| way_out_answer(planned, way)).collect(),
    }
}

fn way_out_answer(planned: &Planned, way: &WayOut) -> WayOutAnswer {
    let (tempo, tuning) = match way.change {
        Change::NoFasterThan(tempo) => (Some(to_millionths(tempo.quarters_per_minute())), None),
        Change::Tuning(tuning) | Change::Harp(_, tuning) => (None, Some(tuning.ascii())),
        _ => (None, None),
    };
    let kind = words::way_out_kind(way);
    WayOutAnswer { kind, words: words::way_out(planned, way), tempo, tuning, totals: totals(way.totals) }
}

/// What the plan's proof says.
fn proof(proof: Proof) -> ProofAnswer {
    let within = match proof {
        Proof::Within(Gap { unplayable, rushed, work, comfort }) => {
            Some(GapAnswer { unplayable, rushed, work, comfort })
        }
        Proof::BestPossible => None,
    };
    ProofAnswer { best_possible: proof == Proof::BestPossible, within }
}

/// What plans are compared by.
pub fn totals(totals: Totals) -> TotalsAnswer {
    let Totals { unplayable, rushed, flips, respelled, comfort } = totals;
    TotalsAnswer { unplayable, rushed, flips, respelled, comfort }
}
