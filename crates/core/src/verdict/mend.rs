//! Whether a pass counts as clean, and the one thing to mend.

use std::fmt;

use super::answer::{FlipOutcome, Hesitation, NoteOutcome, Steadiness, Verdict};
use super::evidence::{Ear, Evidence, OwnWord};
use super::expected::ExpectedPass;
use super::thresholds::Thresholds;
use crate::harp::{LeverState, StringNumber};
use crate::pitch::{Cents, SpelledPitch};
use crate::time::Seconds;

/// The one thing to mend, in the order of what weighs most. Displayed as a sentence to the player.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Mend {
    /// The lever was not moved.
    FlipMissed {
        /// The string's open pitch.
        open: SpelledPitch,
        /// Where the lever was to go.
        to: LeverState,
    },
    /// The lever was moved only part of its way.
    FlipHalf {
        /// The string's open pitch.
        open: SpelledPitch,
        /// How far above its open pitch the string sounded.
        cents: Option<Cents>,
    },
    /// The lever was moved after the string had been plucked.
    FlipLate {
        /// The string's open pitch.
        open: SpelledPitch,
    },
    /// The flip was tapped beside its beat.
    TapOffBeat {
        /// The string's open pitch.
        open: SpelledPitch,
        /// How late.
        error: Seconds,
    },
    /// A lever that is not flipped before this note stood wrong.
    LeverWrong {
        /// The string.
        string: StringNumber,
        /// The note that should have sounded, by its place in the expected notes.
        note: usize,
    },
    /// The music waited for the flip, or hurried past it.
    Hesitation {
        /// The string's open pitch.
        open: SpelledPitch,
        /// How much.
        hesitation: Hesitation,
    },
    /// Notes were missing.
    NotesMissed {
        /// How many.
        missed: usize,
        /// Of how many.
        expected: usize,
    },
    /// There were notes too many.
    NotesExtra {
        /// How many.
        extra: usize,
    },
    /// The notes did not come evenly.
    Uneven {
        /// The spread.
        spread: Seconds,
    },
    /// A flip could not be heard.
    FlipUnheard {
        /// The string's open pitch.
        open: SpelledPitch,
    },
    /// Nothing was heard at all.
    NothingHeard,
}

pub(super) fn decide(
    expected: &ExpectedPass,
    evidence: &Evidence,
    thresholds: &Thresholds,
    verdict: &Verdict,
) -> (Steadiness, Option<Mend>) {
    let fault = fault(expected, thresholds, verdict);
    match evidence.word {
        Some(OwnWord::Clean) => return (Steadiness::Steady, None),
        Some(OwnWord::Missed) => return (Steadiness::NotYet, fault),
        None => {}
    }
    let heard_any = verdict.notes.iter().any(|note| note.heard.is_some());
    let is_silent = evidence.ear != Ear::Closed && !heard_any && !expected.notes.is_empty();
    let tapped = evidence.taps.as_ref().is_some_and(|taps| !taps.is_empty());
    if is_silent && !tapped {
        return (Steadiness::Unheard, Some(Mend::NothingHeard));
    }
    match fault {
        Some(fault) => (Steadiness::NotYet, Some(fault)),
        None => match unheard(expected, verdict) {
            Some(unheard) => (Steadiness::Unheard, Some(unheard)),
            None if evidence.ear == Ear::Closed && evidence.taps.is_none() => (Steadiness::Unheard, None),
            None => (Steadiness::Steady, None),
        },
    }
}

/// The fault that weighs most.
fn fault(expected: &ExpectedPass, thresholds: &Thresholds, verdict: &Verdict) -> Option<Mend> {
    flip_fault(expected, verdict)
        .or_else(|| lever_wrong(expected, verdict))
        .or_else(|| hesitation(expected, thresholds, verdict))
        .or_else(|| wrong_notes(expected, thresholds, verdict))
        .or_else(|| tap_off_beat(expected, thresholds, verdict))
        .or_else(|| verdict.spread.filter(|&spread| spread > thresholds.spread).map(|spread| Mend::Uneven { spread }))
}

fn flip_fault(expected: &ExpectedPass, verdict: &Verdict) -> Option<Mend> {
    let found = |outcome: FlipOutcome| {
        let mut flips = verdict.flips.iter().zip(&expected.flips);
        flips.find(|(flip, _)| flip.outcome == outcome).map(|(flip, wanted)| (flip, wanted.open))
    };
    let missed = found(FlipOutcome::Missed).map(|(flip, open)| Mend::FlipMissed { open, to: flip.to });
    let half = || found(FlipOutcome::Half).map(|(flip, open)| Mend::FlipHalf { open, cents: flip.cents });
    let late = || found(FlipOutcome::Late).map(|(_, open)| Mend::FlipLate { open });
    missed.or_else(half).or_else(late)
}

/// A wrong lever whose string was not just to be flipped. The notes after a missed flip are the flip's own fault, which
/// has been told already.
fn lever_wrong(expected: &ExpectedPass, verdict: &Verdict) -> Option<Mend> {
    let wrong = verdict.notes.iter().position(|note| note.outcome == NoteOutcome::WrongLever)?;
    Some(Mend::LeverWrong { string: expected.notes[wrong].string?, note: wrong })
}

fn hesitation(expected: &ExpectedPass, thresholds: &Thresholds, verdict: &Verdict) -> Option<Mend> {
    let flips = verdict.flips.iter().zip(&expected.flips);
    let too_long = flips.filter_map(|(flip, wanted)| {
        let hesitation = flip.hesitation?;
        let limit = thresholds.hesitation(wanted.beat);
        (hesitation.longer_by.get().abs() > limit.get()).then_some((wanted.open, hesitation))
    });
    let worst = too_long.max_by(|a, b| a.1.of_beat.abs().total_cmp(&b.1.of_beat.abs()));
    worst.map(|(open, hesitation)| Mend::Hesitation { open, hesitation })
}

fn wrong_notes(expected: &ExpectedPass, thresholds: &Thresholds, verdict: &Verdict) -> Option<Mend> {
    let allowed = thresholds.wrong_among(expected.notes.len());
    let missed = verdict.notes.iter().filter(|note| note.outcome == NoteOutcome::Missed).count();
    if missed > allowed {
        return Some(Mend::NotesMissed { missed, expected: expected.notes.len() });
    }
    let extra = verdict.extra.len();
    // Where no notes are expected of her, what she plays beside the flip is her own affair.
    (extra > allowed && !expected.notes.is_empty()).then_some(Mend::NotesExtra { extra })
}

fn tap_off_beat(expected: &ExpectedPass, thresholds: &Thresholds, verdict: &Verdict) -> Option<Mend> {
    let mut flips = verdict.flips.iter().zip(&expected.flips);
    flips.find_map(|(flip, wanted)| {
        let error = flip.tap_error?;
        let limit = wanted.beat.get() * thresholds.tap_of_beat;
        (error.get().abs() > limit).then_some(Mend::TapOffBeat { open: wanted.open, error })
    })
}

fn unheard(expected: &ExpectedPass, verdict: &Verdict) -> Option<Mend> {
    let mut flips = verdict.flips.iter().zip(&expected.flips);
    let unheard = flips.find(|(flip, _)| flip.outcome == FlipOutcome::Unheard);
    unheard.map(|(_, wanted)| Mend::FlipUnheard { open: wanted.open })
}

fn milliseconds(time: Seconds) -> f64 {
    (time.get() * 1000.0).abs().round()
}

impl fmt::Display for Mend {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Mend::FlipMissed { open, to } => {
                write!(f, "The {open} lever stayed {}: move it {to} before that string is plucked again.", !*to)
            }
            Mend::FlipHalf { open, cents: Some(cents) } => write!(
                f,
                "The {open} lever went only part of its way ({:.0} of 100 cents): move it through its whole travel.",
                cents.get()
            ),
            Mend::FlipHalf { open, cents: None } => {
                write!(f, "The {open} lever went only part of its way: move it through its whole travel.")
            }
            Mend::FlipLate { open } => {
                write!(f, "The {open} lever moved after its string was plucked: let the hand leave earlier.")
            }
            Mend::TapOffBeat { open, error } => {
                let side = if error.get() > 0.0 { "after" } else { "before" };
                write!(f, "The flip of {open} came {} ms {side} its beat: count it aloud.", milliseconds(*error))
            }
            Mend::LeverWrong { string, .. } => {
                write!(f, "The lever of string {string} stood wrong: check the levers before you start.")
            }
            Mend::Hesitation { open, hesitation } => {
                let (ms, share) = (milliseconds(hesitation.longer_by), (hesitation.of_beat * 100.0).abs().round());
                if hesitation.longer_by.get() > 0.0 {
                    write!(
                        f,
                        "The music waited {ms} ms ({share} % of a beat) for the flip of {open}: count through it."
                    )
                } else {
                    write!(
                        f,
                        "The music hurried by {ms} ms ({share} % of a beat) past the flip of {open}: give it its time."
                    )
                }
            }
            Mend::NotesMissed { missed, expected } => {
                write!(f, "{missed} of {expected} notes did not come: take it slower, or one hand alone.")
            }
            Mend::NotesExtra { extra: 1 } => write!(f, "There was a note too many: look where the fingers land."),
            Mend::NotesExtra { extra } => {
                write!(f, "There were {extra} notes too many: look where the fingers land.")
            }
            Mend::Uneven { spread } => {
                write!(
                    f,
                    "The notes scatter by {} ms about the click: listen for it on every beat.",
                    milliseconds(*spread)
                )
            }
            Mend::FlipUnheard { open } => {
                write!(f, "The flip of {open} could not be heard; nothing is counted against you.")
            }
            Mend::NothingHeard => write!(f, "Nothing was heard; nothing is counted against you."),
        }
    }
}
