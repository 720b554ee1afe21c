//! What can be asked about a flip's practice on its ladder.

use leverlane_core::drill::{CueLevel, Fading, Layer, Offer};
use leverlane_core::verdict::OwnWord;
use leverlane_diary::HeldFlip;

use super::Intent;
use crate::state::Moment;

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
