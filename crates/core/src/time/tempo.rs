//! How fast a beat goes by.

use super::{Seconds, Ticks};

/// A tempo: so many of a beat unit in a minute.
///
/// Range: 5 to 400 quarter notes a minute, whatever the unit it is said in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tempo {
    beat: Ticks,
    per_minute: f64,
}

/// A tempo outside the range that can be played or practised.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("a tempo of {found} quarter notes a minute: expected {} to {}", Tempo::SLOWEST, Tempo::FASTEST)]
pub struct TempoError {
    /// Quarter notes a minute that were asked for.
    pub found: f64,
}

impl Tempo {
    /// The slowest tempo taken, in quarter notes a minute.
    pub const SLOWEST: f64 = 5.0;
    /// The fastest tempo taken, in quarter notes a minute.
    pub const FASTEST: f64 = 400.0;
    /// Where a score names no tempo: 90 quarter notes a minute. A working value of ours, no standard's.
    pub const UNWRITTEN: Tempo = Tempo { beat: Ticks::QUARTER, per_minute: 90.0 };

    /// So many quarter notes a minute.
    ///
    /// # Errors
    /// Outside 5–400, or not a number.
    pub fn quarters(per_minute: f64) -> Result<Tempo, TempoError> {
        Tempo::beats(Ticks::QUARTER, per_minute)
    }

    /// So many beats of the given length a minute; the beat is longer than nothing.
    ///
    /// # Errors
    /// Outside 5–400 quarter notes a minute, or not a number.
    pub fn beats(beat: Ticks, per_minute: f64) -> Result<Tempo, TempoError> {
        let found = per_minute * beat.quarters();
        if (Self::SLOWEST..=Self::FASTEST).contains(&found) {
            Ok(Tempo { beat, per_minute })
        } else {
            Err(TempoError { found })
        }
    }

    /// The unit the tempo is said in.
    pub fn beat(self) -> Ticks {
        self.beat
    }

    /// How many of its own unit go to a minute.
    pub fn per_minute(self) -> f64 {
        self.per_minute
    }

    /// Quarter notes a minute.
    pub fn quarters_per_minute(self) -> f64 {
        self.per_minute * self.beat.quarters()
    }

    /// How long a length of score time lasts at this tempo.
    pub fn lasting(self, length: Ticks) -> Seconds {
        Seconds::new(length.get() as f64 * 60.0 / (self.per_minute * self.beat.get() as f64))
    }
}
