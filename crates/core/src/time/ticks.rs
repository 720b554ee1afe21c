//! Exact musical time: lengths and instants in integer ticks.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Sub};

/// A length of score time.
///
/// Unit: ticks, [`Ticks::PER_QUARTER`] of them to the quarter note. Negative lengths are differences that point
/// backwards. The number has the factors 32 · 9 · 5 · 7 · 11, so 128th notes and tuplets of 3, 5, 7, 9 and 11 are exact.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Ticks(i64);

impl Ticks {
    /// Ticks in a quarter note.
    pub const PER_QUARTER: i64 = 110_880;
    /// No length at all.
    pub const ZERO: Ticks = Ticks(0);
    /// A quarter note.
    pub const QUARTER: Ticks = Ticks(Self::PER_QUARTER);

    /// A length of so many ticks.
    pub const fn new(ticks: i64) -> Self {
        Ticks(ticks)
    }

    /// The exact length of `numerator/denominator` quarter notes, or `None` where ticks can't hold it exactly, the
    /// denominator is not positive or the length is out of range.
    ///
    /// ```
    /// use leverlane_core::time::Ticks;
    /// assert_eq!(Ticks::from_quarters(1, 3), Some(Ticks::new(36_960)));
    /// assert_eq!(Ticks::from_quarters(1, 13), None);
    /// ```
    pub fn from_quarters(numerator: i64, denominator: i64) -> Option<Self> {
        if denominator <= 0 {
            return None;
        }
        let scaled = numerator.checked_mul(Self::PER_QUARTER)?;
        (scaled % denominator == 0).then(|| Ticks(scaled / denominator))
    }

    /// The number of ticks.
    pub const fn get(self) -> i64 {
        self.0
    }

    /// The length in quarter notes as a fraction in lowest terms, denominator positive.
    pub fn quarters_ratio(self) -> (i64, i64) {
        let divisor = greatest_common_divisor(self.0.unsigned_abs(), Self::PER_QUARTER.unsigned_abs()) as i64;
        (self.0 / divisor, Self::PER_QUARTER / divisor)
    }

    /// The length in quarter notes, for drawing and for seconds; not for comparing places.
    pub fn quarters(self) -> f64 {
        self.0 as f64 / Self::PER_QUARTER as f64
    }

    /// The sum, or `None` where it leaves the range of an `i64`.
    pub fn checked_add(self, other: Ticks) -> Option<Ticks> {
        self.0.checked_add(other.0).map(Ticks)
    }
}

fn greatest_common_divisor(a: u64, b: u64) -> u64 {
    if b == 0 { a.max(1) } else { greatest_common_divisor(b, a % b) }
}

/// Quarter notes as an exact ratio, `3/2` for a dotted quarter, `2/1` for a half note.
impl fmt::Display for Ticks {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (numerator, denominator) = self.quarters_ratio();
        write!(f, "{numerator}/{denominator}")
    }
}

impl Add for Ticks {
    type Output = Ticks;
    fn add(self, other: Ticks) -> Ticks {
        Ticks(self.0 + other.0)
    }
}

impl AddAssign for Ticks {
    fn add_assign(&mut self, other: Ticks) {
        self.0 += other.0;
    }
}

impl Sub for Ticks {
    type Output = Ticks;
    fn sub(self, other: Ticks) -> Ticks {
        Ticks(self.0 - other.0)
    }
}

impl Neg for Ticks {
    type Output = Ticks;
    fn neg(self) -> Ticks {
        Ticks(-self.0)
    }
}

impl Mul<i64> for Ticks {
    type Output = Ticks;
    fn mul(self, times: i64) -> Ticks {
        Ticks(self.0 * times)
    }
}

impl Sum for Ticks {
    fn sum<I: Iterator<Item = Ticks>>(lengths: I) -> Ticks {
        lengths.fold(Ticks::ZERO, Add::add)
    }
}

/// An instant of score time, counted from the start of playing with repeats and jumps unrolled.
///
/// Unit: ticks from the first played bar's first moment; a count-in lies before zero.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ScoreTime(i64);

impl ScoreTime {
    /// The start of playing.
    pub const START: ScoreTime = ScoreTime(0);

    /// The instant so many ticks after the start of playing.
    pub const fn from_start(ticks: Ticks) -> Self {
        ScoreTime(ticks.0)
    }

    /// How far after the start of playing the instant lies.
    pub const fn since_start(self) -> Ticks {
        Ticks(self.0)
    }
}

/// Quarter notes since the start of playing as an exact ratio.
impl fmt::Display for ScoreTime {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.since_start().fmt(f)
    }
}

impl Add<Ticks> for ScoreTime {
    type Output = ScoreTime;
    fn add(self, length: Ticks) -> ScoreTime {
        ScoreTime(self.0 + length.0)
    }
}

impl Sub<Ticks> for ScoreTime {
    type Output = ScoreTime;
    fn sub(self, length: Ticks) -> ScoreTime {
        ScoreTime(self.0 - length.0)
    }
}

impl Sub for ScoreTime {
    type Output = Ticks;
    fn sub(self, earlier: ScoreTime) -> Ticks {
        Ticks(self.0 - earlier.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tick_count_divides_into_every_tuplet_named() {
        for parts in [2, 3, 4, 5, 6, 7, 8, 9, 11, 16, 32] {
            assert_eq!(Ticks::from_quarters(1, parts).map(|t| t * parts), Some(Ticks::QUARTER), "1/{parts}");
        }
        assert_eq!(Ticks::from_quarters(1, 64), None, "a 256th note is finer than a tick");
        assert_eq!(Ticks::from_quarters(1, 0), None);
        assert_eq!(Ticks::from_quarters(i64::MAX, 1), None);
    }

    #[test]
    fn ratios_are_in_lowest_terms() {
        assert_eq!(Ticks::new(166_320).to_string(), "3/2");
        assert_eq!(Ticks::ZERO.to_string(), "0/1");
        assert_eq!((Ticks::ZERO - Ticks::QUARTER).to_string(), "-1/1");
    }
}
