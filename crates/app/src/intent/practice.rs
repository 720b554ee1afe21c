//! What can be asked about a flip's practice on its ladder.

use leverlane_core::drill::{CueLevel, Fading, LadderPlan, Layer, Offer, RungStep, Scheme};
use leverlane_core::verdict::OwnWord;
use leverlane_diary::HeldFlip;

use super::Intent;
use crate::state::Moment;

/// How a ladder shall be set up, tempos in the beats of its goal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LadderSetUp {
    /// Where it begins, in beats a minute.
    pub start: f64,
    /// Where it leads.
    pub goal: f64,
    /// From rung to rung.
    pub step: RungStep,
    /// Clean passes in a row that lead a rung up.
    pub clean_to_climb: u8,
    /// The order of tempos.
    pub scheme: Scheme,
}

impl From<&LadderPlan> for LadderSetUp {
    fn from(plan: &LadderPlan) -> LadderSetUp {
        let beat = plan.goal().beat();
        LadderSetUp {
            start: plan.start().quarters_per_minute() / beat.quarters(),
            goal: plan.goal().per_minute(),
            step: plan.step(),
            clean_to_climb: plan.clean_to_climb(),
            scheme: plan.scheme(),
        }
    }
}

/// One thing asked about practice.
#[derive(Clone, Debug, PartialEq)]
pub enum PracticeIntent {
    /// Practise the selected flip on a ladder, or leave it.
    SwitchLadder,
    /// The right pedal: start, tell the flip while it plays, take what is offered.
    RightPedal,
    /// The left pedal: on to the next flip, or say while it plays that this pass went wrong; a second time stops.
    LeftPedal,
    /// The flip is made now.
    Tap,
    /// What she says of the pass that sounds.
    Say(OwnWord),
    /// Take an offer.
    Take(Offer),
    /// Play this much of the chunk.
    UseLayer(Layer),
    /// Cue this much.
    UseCues(CueLevel),
    /// Hold the cues, or let them fade.
    UseFading(Fading),
    /// Speak the count and the flips, or don't.
    SwitchSpeech,
    /// Set the ladder up anew; the tempo stays as far as it can.
    SetUp(LadderSetUp),
    /// The diary has told what was held of a piece's flips.
    Held {
        /// The piece's digest.
        piece: String,
        /// It.
        held: Vec<HeldFlip>,
    },
    /// It is now so late.
    Now(Moment),
}

impl From<PracticeIntent> for Intent {
    fn from(intent: PracticeIntent) -> Intent {
        Intent::Practice(intent)
    }
}
