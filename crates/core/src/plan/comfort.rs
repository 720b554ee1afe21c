//! The comfort table: what makes one place for a flip better than another when both are in time.
//!
//! The numbers are ours (common practice put into an order); the order of the terms is what matters, and a player who
//! disagrees moves the flip.
//!
//! | what | cost |
//! |---|---|
//! | on a strong beat, a beat, a half, a third, anywhere else | 0, 1, 3, 4, 8 |
//! | before the old note's written end | 6 |
//! | while the string still rings audibly | 3 |
//! | time over need at least 2, 1.5, 1.25, 1, 0.75, 0.5, more than 0, nothing | 0, 1, 2, 4, 8, 12, 16, 24 |
//! | with the right hand | 5 |
//! | the other hand leaps more than five strings, more than eight | 2, 4 |
//! | for each two quarter notes between flip and need | 1 |
//! | elsewhere than on the first time through the same bar | 2 |

use super::places::Place;
use crate::harp::Millimetres;
use crate::meter::Strength;
use crate::pitch::MidiNote;
use crate::score::Hand;
use crate::time::{ScoreTime, Seconds, Ticks};

/// Elsewhere than on the first time through the same bar.
pub(super) const DIFFERENT_ON_REPEAT: u32 = 2;

/// A place's own strength.
pub(super) fn of_strength(strength: Strength) -> u32 {
    match strength {
        Strength::Downbeat | Strength::Strong => 0,
        Strength::Beat => 1,
        Strength::Half => 3,
        Strength::Third => 4,
        Strength::Between => 8,
    }
}

/// How tight the time is.
pub(super) fn of_slack(slack: Option<f64>) -> u32 {
    const STEPS: [(f64, u32); 6] = [(2.0, 0), (1.5, 1), (1.25, 2), (1.0, 4), (0.75, 8), (0.5, 12)];
    let Some(slack) = slack else { return 0 };
    let step = STEPS.into_iter().find(|&(least, _)| slack >= least);
    step.map_or(if slack > 0.0 { 16 } else { 24 }, |(_, cost)| cost)
}

/// The hand that makes the flip.
pub(super) fn of_hand(hand: Hand) -> u32 {
    match hand {
        Hand::Left => 0,
        Hand::Right => 5,
    }
}

/// The other hand's leap near the flip.
pub(super) fn of_leap(leap: Option<Millimetres>) -> u32 {
    // Five and eight strings of the nominal spacing, 15.9 mm.
    match leap {
        Some(leap) if leap.get() > 8.5 * 15.9 => 4,
        Some(leap) if leap.get() > 5.5 * 15.9 => 2,
        _ => 0,
    }
}

/// The distance from the flip to the pluck that needs it.
pub(super) fn of_distance(place: ScoreTime, need: ScoreTime) -> u32 {
    u32::try_from((need - place).get() / (2 * Ticks::PER_QUARTER)).unwrap_or(u32::MAX / 4)
}

/// The last sound of the string before its lever moves.
#[derive(Clone, Copy, Debug)]
pub(super) struct LastSound {
    pub plucked: Seconds,
    pub written_end: ScoreTime,
    pub note: MidiNote,
}

/// The string's own sound at the flip.
pub(super) fn of_ringing(last: Option<&LastSound>, place: &Place) -> u32 {
    match last {
        Some(last) if place.at < last.written_end => 6,
        Some(last) if place.seconds - last.plucked < audible_ring(last.note) => 3,
        _ => 0,
    }
}

/// How long a string rings audibly: 9 s up to C3, 4 s at C4, 2 s at C5, 1 s at C6, 0.5 s from C7, in straight lines
/// between (common practice).
pub(super) fn audible_ring(note: MidiNote) -> Seconds {
    const POINTS: [(f64, f64); 5] = [(48.0, 9.0), (60.0, 4.0), (72.0, 2.0), (84.0, 1.0), (96.0, 0.5)];
    let midi = f64::from(note.get());
    let above = POINTS.iter().position(|&(at, _)| midi <= at);
    Seconds::new(match above {
        None => 0.5,
        Some(0) => 9.0,
        Some(index) => {
            let ((low, long), (high, short)) = (POINTS[index - 1], POINTS[index]);
            long + (short - long) * (midi - low) / (high - low)
        }
    })
}
