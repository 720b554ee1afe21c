//! What counts as steady.

use crate::pitch::Cents;
use crate::plan::PaceLevel;
use crate::time::Seconds;

/// The limits by which a pass counts as clean. Every one can be changed by the player.
///
/// None of them is a standard's. What is known: musicians tap with a spread of about 15 to 25 ms (from memory), onsets
/// are compared within 50 ms (mir_eval), one displaced tone is just noticed at 6 ms or 2.5 % of the gap (Friberg &
/// Sundberg 1995), and what is kept until the next day follows the share of correct trials (doi
/// 10.1177/0022429408328851). The limits for the levels lie above what can be told apart and are set by us.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thresholds {
    /// The largest spread of the time errors. Half the spread of practised tapping more for each level down.
    pub spread: Seconds,
    /// The largest hesitation or hurry at a flip, as a share of the beat.
    pub hesitation_of_beat: f64,
    /// A hesitation below this is never told, however fast the beat: it lies within what playing scatters anyway.
    pub hesitation_floor: Seconds,
    /// The share of notes that may be missing, and that may be too many, rounded down to whole notes.
    pub wrong_notes: f64,
    /// The latest or earliest tap that still falls on the flip beat, as a share of the beat.
    pub tap_of_beat: f64,
    /// A lever that is heard so far or farther from either of its two pitches stands half-way. Well-regulated levers
    /// lie within 3, bad ones past 10 cents of their semitone (common practice), a pitch is measured within 3.
    pub half_way: Cents,
}

/// A limit that makes no sense.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("the limit for {what} is {found}: expected {expected}")]
pub struct ThresholdsError {
    /// Which one.
    pub what: &'static str,
    /// What was given.
    pub found: f64,
    /// What is taken.
    pub expected: &'static str,
}

impl Thresholds {
    /// The limits for a level.
    pub const fn of_level(level: PaceLevel) -> Thresholds {
        let (spread, hesitation_of_beat, wrong_notes, tap_of_beat) = match level {
            PaceLevel::Beginner => (0.060, 0.25, 0.10, 0.30),
            PaceLevel::Improver => (0.050, 0.20, 0.07, 0.25),
            PaceLevel::Fluent => (0.040, 0.15, 0.05, 0.20),
            PaceLevel::Expert => (0.030, 0.12, 0.03, 0.15),
        };
        Thresholds {
            spread: Seconds::new(spread),
            hesitation_of_beat,
            hesitation_floor: Seconds::new(0.050),
            wrong_notes,
            tap_of_beat,
            half_way: Cents::new(20.0),
        }
    }

    /// The limits, if each lies in its range.
    ///
    /// # Errors
    /// The first that does not.
    pub fn checked(self) -> Result<Thresholds, ThresholdsError> {
        let share = "a share from 0 to 1";
        let limits = [
            ("the spread", self.spread.get(), 0.005..=1.0, "0.005 to 1 seconds"),
            ("hesitation", self.hesitation_of_beat, 0.0..=1.0, share),
            ("the least hesitation", self.hesitation_floor.get(), 0.0..=1.0, "0 to 1 seconds"),
            ("wrong notes", self.wrong_notes, 0.0..=1.0, share),
            ("the tap", self.tap_of_beat, 0.0..=1.0, share),
            ("half-way levers", self.half_way.get(), 5.0..=50.0, "5 to 50 cents"),
        ];
        for (what, found, range, expected) in limits {
            if !range.contains(&found) {
                return Err(ThresholdsError { what, found, expected });
            }
        }
        Ok(self)
    }

    /// How long a hesitation may be where a beat lasts so long.
    pub fn hesitation(&self, beat: Seconds) -> Seconds {
        Seconds::new((beat.get() * self.hesitation_of_beat).max(self.hesitation_floor.get()))
    }

    /// How many of so many notes may be missing or too many.
    pub fn wrong_among(&self, notes: usize) -> usize {
        (notes as f64 * self.wrong_notes).floor() as usize
    }
}
