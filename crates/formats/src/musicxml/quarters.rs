//! Exact lengths in quarter notes, finer than ticks can be.

use std::cmp::Ordering;

use leverlane_core::time::Ticks;

/// A length of so many quarter notes as a fraction in lowest terms; the denominator is positive.
///
/// MusicXML counts in divisions that a file chooses freely and may change in mid-bar. The place within a bar is summed
/// in these fractions and becomes ticks only at the end, so that roundings never add up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) struct Quarters {
    numerator: i64,
    denominator: i64,
}

impl Quarters {
    pub(super) const ZERO: Quarters = Quarters { numerator: 0, denominator: 1 };

    /// The fraction in lowest terms, or `None` where it doesn't fit 64 bits or the denominator is zero.
    fn reduced(numerator: i128, denominator: i128) -> Option<Quarters> {
        if denominator == 0 {
            return None;
        }
        let divisor = greatest_common_divisor(numerator.unsigned_abs(), denominator.unsigned_abs());
        let divisor = i128::try_from(divisor).ok()? * denominator.signum();
        let (numerator, denominator) = (numerator / divisor, denominator / divisor);
        Some(Quarters { numerator: i64::try_from(numerator).ok()?, denominator: i64::try_from(denominator).ok()? })
    }

    pub(super) fn whole(quarters: i64) -> Quarters {
        Quarters { numerator: quarters, denominator: 1 }
    }

    /// The number a decimal text names, such as `480`, `-1` or `0.25`; at most eighteen digits.
    pub(super) fn from_decimal(text: &str) -> Option<Quarters> {
        let (sign, digits) = match text.strip_prefix('-') {
            Some(rest) => (-1, rest),
            None => (1, text.strip_prefix('+').unwrap_or(text)),
        };
        let (whole, decimals) = digits.split_once('.').unwrap_or((digits, ""));
        let all: String = [whole, decimals].concat();
        let written = !all.is_empty() && all.len() <= 18 && all.bytes().all(|byte| byte.is_ascii_digit());
        if !written {
            return None;
        }
        let numerator: i128 = all.parse().ok()?;
        let denominator = 10i128.checked_pow(u32::try_from(decimals.len()).ok()?)?;
        Quarters::reduced(sign * numerator, denominator)
    }

    pub(super) fn plus(self, other: Quarters) -> Option<Quarters> {
        let (a, b) = (i128::from(self.denominator), i128::from(other.denominator));
        // Neither product can leave 127 bits; the sum of two of them is checked.
        let sum = (i128::from(self.numerator) * b).checked_add(i128::from(other.numerator) * a)?;
        Quarters::reduced(sum, a * b)
    }

    pub(super) fn minus(self, other: Quarters) -> Option<Quarters> {
        self.plus(Quarters { numerator: other.numerator.checked_neg()?, denominator: other.denominator })
    }

    pub(super) fn divided_by(self, other: Quarters) -> Option<Quarters> {
        Quarters::reduced(
            i128::from(self.numerator) * i128::from(other.denominator),
            i128::from(self.denominator) * i128::from(other.numerator),
        )
    }

    /// For writing decimals; not for comparing places.
    pub(super) fn as_f64(self) -> f64 {
        self.numerator as f64 / self.denominator as f64
    }

    pub(super) fn is_negative(self) -> bool {
        self.numerator < 0
    }

    pub(super) fn is_zero(self) -> bool {
        self.numerator == 0
    }

    /// The nearest number of ticks (halves up), and whether it is exact.
    pub(super) fn to_ticks(self) -> Option<(Ticks, Rounding)> {
        let denominator = i128::from(self.denominator);
        let scaled = i128::from(self.numerator) * i128::from(Ticks::PER_QUARTER);
        let ticks = (scaled * 2 + denominator).div_euclid(denominator * 2);
        let rounding = if ticks * denominator == scaled { Rounding::Exact } else { Rounding::Rounded };
        Some((Ticks::new(i64::try_from(ticks).ok()?), rounding))
    }
}

/// Whether a length fits ticks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Rounding {
    Exact,
    Rounded,
}

impl PartialOrd for Quarters {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Quarters {
    fn cmp(&self, other: &Self) -> Ordering {
        let cross = |a: i64, b: i64| i128::from(a) * i128::from(b);
        cross(self.numerator, other.denominator).cmp(&cross(other.numerator, self.denominator))
    }
}

impl std::fmt::Display for Quarters {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}/{}", self.numerator, self.denominator)
    }
}

fn greatest_common_divisor(mut a: u128, mut b: u128) -> u128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a.max(1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quarters(text: &str) -> Quarters {
        Quarters::from_decimal(text).unwrap()
    }

    /// Arithmetic.
    #[test]
    fn decimals_and_sums() {
        assert_eq!(quarters("0.25").to_string(), "1/4");
        assert_eq!(quarters("-12").to_string(), "-12/1");
        assert_eq!(quarters("1").divided_by(quarters("3")).unwrap().to_string(), "1/3");
        assert_eq!(quarters("1").divided_by(Quarters::ZERO), None);
        let third = quarters("1").divided_by(quarters("3")).unwrap();
        let sum = third.plus(third).and_then(|two| two.plus(third)).unwrap();
        assert_eq!(sum, quarters("1"));
        assert!(quarters("0.3") < third && third < quarters("0.34"));
        for bad in ["", ".", "-", "1e3", "x", "1.2.3", "1234567890123456789", "½"] {
            assert_eq!(Quarters::from_decimal(bad), None, "{bad}");
        }
    }

    /// A thirteenth of a quarter is 8529 3/13 ticks (110,880 / 13).
    #[test]
    fn roundings_are_told() {
        let thirteenth = quarters("1").divided_by(quarters("13")).unwrap();
        assert_eq!(thirteenth.to_ticks(), Some((Ticks::new(8_529), Rounding::Rounded)));
        assert_eq!(quarters("0.5").to_ticks(), Some((Ticks::new(55_440), Rounding::Exact)));
    }
}
