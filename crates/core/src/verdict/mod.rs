//! The verdict on one pass: which notes came, how evenly, whether the flip was made, and the one thing to mend.
//!
//! [`ExpectedPass`] says what a chunk asks of the player, [`Evidence`] what was heard of it, tapped or said by her;
//! [`judge`] compares the two by [`Thresholds`].
//!
//! ```text
//! Chunk, Plan ─→ ExpectedPass ─┐
//! hearing, taps, word ─→ Evidence ─┼→ judge ─→ Verdict
//! level ─→ Thresholds ─────────┘
//! ```
//!
//! Two rules run through all of it. The player's own median is taken off before anything is called early or late, for
//! everybody plays a little before or after a click. And what was not heard is never held against her: it is a result of
//! its own.

mod answer;
mod evidence;
mod expected;
mod flip_outcome;
mod matching;
mod mend;
mod statistics;
mod steadiness;
mod thresholds;

pub use crate::drill::PlayedHands;
pub use answer::{Basis, FlipOutcome, FlipVerdict, Hesitation, NoteOutcome, NoteVerdict, Steadiness, Verdict};
pub use evidence::{Ear, Evidence, HeardNote, LeverEvidence, LeverHeard, OwnWord};
pub use expected::{ExpectedFlip, ExpectedNote, ExpectedPass, Freedom, PassRequest};
pub use mend::Mend;
pub use statistics::{median, spread};
pub use thresholds::{Thresholds, ThresholdsError};

use crate::time::Seconds;

/// Judges one pass.
///
/// Times of the evidence count from the start of the pass, as those of what is expected do.
pub fn judge(expected: &ExpectedPass, evidence: &Evidence, thresholds: &Thresholds) -> Verdict {
    let mut matched = matching::match_notes(expected, &evidence.heard, Seconds::ZERO);
    if let Some(own) = steadiness::bias(expected, &matched) {
        // Once more, about her own median: repeated notes then find their right places however early she plays.
        matched = matching::match_notes(expected, &evidence.heard, own);
    }
    let notes = steadiness::notes(expected, evidence, &matched);
    let extra = steadiness::extra(evidence, &matched);
    let bias = steadiness::bias(expected, &matched);
    let spread = steadiness::spread_of(expected, &matched);
    let flips = flip_outcome::flips(expected, evidence, &matched, thresholds);
    let hesitation = flips.iter().filter_map(|flip| flip.hesitation).max_by(|a, b| {
        let size = |hesitation: &Hesitation| hesitation.longer_by.get().abs();
        size(a).total_cmp(&size(b))
    });
    let basis = basis(evidence);
    let mut verdict =
        Verdict { basis, notes, extra, bias, spread, hesitation, flips, steady: Steadiness::Unheard, mend: None };
    let (steady, mend) = mend::decide(expected, evidence, thresholds, &verdict);
    verdict.steady = steady;
    verdict.mend = mend;
    verdict
}

fn basis(evidence: &Evidence) -> Basis {
    match (evidence.word, evidence.ear, &evidence.taps) {
        (Some(_), _, _) => Basis::OwnWord,
        (None, Ear::Exact | Ear::Microphone, _) => Basis::Heard,
        (None, Ear::Closed, Some(_)) => Basis::Tapped,
        (None, Ear::Closed, None) => Basis::Nothing,
    }
}

#[cfg(test)]
mod tests;
