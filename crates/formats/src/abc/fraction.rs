//! Exact lengths before they become ticks.

use leverlane_core::time::Ticks;

/// A length or place in quarter notes as an exact fraction in lowest terms, never negative.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Fraction {
    numerator: i64,
    denominator: i64,
}

/// No written length needs a finer division, and below it no sum or product of two can overflow.
const FINEST: i64 = 1 << 24;
/// No piece lasts as many quarter notes.
const LONGEST: i64 = 1 << 30;

impl Fraction {
    pub(super) const ZERO: Fraction = Fraction { numerator: 0, denominator: 1 };
    pub(super) const ONE: Fraction = Fraction { numerator: 1, denominator: 1 };

    /// The fraction in lowest terms; none where the denominator is not positive, the numerator is negative, or the
    /// value is too long or too finely divided.
    pub(super) fn new(numerator: i64, denominator: i64) -> Option<Fraction> {
        Fraction::reduced(i128::from(numerator), i128::from(denominator))
    }

    fn reduced(numerator: i128, denominator: i128) -> Option<Fraction> {
        if numerator < 0 || denominator <= 0 {
            return None;
        }
        let (mut a, mut b) = (numerator, denominator);
        while b != 0 {
            (a, b) = (b, a % b);
        }
        let fraction = Fraction {
            numerator: i64::try_from(numerator / a).ok()?,
            denominator: i64::try_from(denominator / a).ok()?,
        };
        let sound = fraction.denominator <= FINEST && fraction.numerator / fraction.denominator <= LONGEST;
        sound.then_some(fraction)
    }

    pub(super) fn plus(self, other: Fraction) -> Option<Fraction> {
        let (a, b) = (i128::from(self.denominator), i128::from(other.denominator));
        Fraction::reduced(i128::from(self.numerator) * b + i128::from(other.numerator) * a, a * b)
    }

    pub(super) fn times(self, other: Fraction) -> Option<Fraction> {
        Fraction::reduced(
            i128::from(self.numerator) * i128::from(other.numerator),
            i128::from(self.denominator) * i128::from(other.denominator),
        )
    }

    pub(super) fn is_zero(self) -> bool {
        self.numerator == 0
    }

    /// The nearest ticks, and whether they hold the fraction exactly.
    pub(super) fn ticks(self) -> (Ticks, Exactness) {
        let (scaled, denominator) =
            (i128::from(self.numerator) * i128::from(Ticks::PER_QUARTER), i128::from(self.denominator));
        let nearest = (2 * scaled + denominator) / (2 * denominator);
        let exactness = if scaled % denominator == 0 { Exactness::Exact } else { Exactness::Rounded };
        // At most 2^30 quarters of 110,880 ticks: far inside an i64.
        (Ticks::new(i64::try_from(nearest).unwrap_or(i64::MAX)), exactness)
    }
}

/// Whether ticks hold a length as it is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Exactness {
    Exact,
    Rounded,
}

impl PartialOrd for Fraction {
    fn partial_cmp(&self, other: &Fraction) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Fraction {
    fn cmp(&self, other: &Fraction) -> std::cmp::Ordering {
        let left = i128::from(self.numerator) * i128::from(other.denominator);
        left.cmp(&(i128::from(other.numerator) * i128::from(self.denominator)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Arithmetic.
    #[test]
    fn sums_products_and_ticks() {
        let third = Fraction::new(2, 6).unwrap();
        assert_eq!(third, Fraction::new(1, 3).unwrap());
        assert_eq!(third.plus(third).unwrap().plus(third), Some(Fraction::ONE));
        assert_eq!(third.times(Fraction::new(3, 2).unwrap()), Fraction::new(1, 2));
        assert_eq!(third.ticks(), (Ticks::new(36_960), Exactness::Exact));
        assert_eq!(Fraction::new(1, 13).unwrap().ticks(), (Ticks::new(8_529), Exactness::Rounded));
        assert_eq!(Fraction::new(1, 0), None);
        assert_eq!(Fraction::new(i64::MAX, 1), None);
    }
}
