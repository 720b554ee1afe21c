//! Time signatures.

use std::fmt;

use crate::time::Ticks;

/// A meter: one or more groups of note values in a bar, such as 4/4, 6/8 or 3+2/8.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Meter {
    groups: Vec<u8>,
    unit: u8,
}

/// A time signature that can't be counted.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("a meter of {groups:?}/{unit}: expected 1 to 64 over 1, 2, 4, 8, 16, 32 or 64")]
pub struct MeterError {
    /// The numbers above.
    pub groups: Vec<u8>,
    /// The number below.
    pub unit: u32,
}

/// What the player counts as a beat.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Counting {
    /// The meter's beats: dotted ones in compound meters, the groups of an additive one.
    #[default]
    Beats,
    /// The note value below the line: eighths in 6/8.
    Units,
}

impl Meter {
    /// A meter of one group (`&[4]` over 4) or several (`&[3, 2]` over 8).
    ///
    /// # Errors
    /// Empty groups, more than 64 units in all, or a unit that is no power of two from 1 to 64.
    pub fn new(groups: &[u8], unit: u32) -> Result<Meter, MeterError> {
        let units: u32 = groups.iter().map(|&group| u32::from(group)).sum();
        let sound = !groups.contains(&0) && (1..=64).contains(&units) && unit.is_power_of_two() && unit <= 64;
        match u8::try_from(unit) {
            Ok(small) if sound => Ok(Meter { groups: groups.to_vec(), unit: small }),
            _ => Err(MeterError { groups: groups.to_vec(), unit }),
        }
    }

    /// 4/4.
    pub fn common() -> Meter {
        Meter { groups: vec![4], unit: 4 }
    }

    /// The numbers above the line.
    pub fn groups(&self) -> &[u8] {
        &self.groups
    }

    /// The number below the line.
    pub fn unit(&self) -> u8 {
        self.unit
    }

    /// How long the note value below the line is.
    pub fn unit_length(&self) -> Ticks {
        Ticks::new(4 * Ticks::PER_QUARTER / i64::from(self.unit))
    }

    /// How long a full bar is.
    pub fn bar_length(&self) -> Ticks {
        self.unit_length() * self.groups.iter().map(|&group| i64::from(group)).sum()
    }

    /// Whether the beat divides into three: one group of 6, 9, 12 … eighths or shorter (common practice).
    pub fn is_compound(&self) -> bool {
        matches!(self.groups[..], [units] if units > 3 && units % 3 == 0) && self.unit >= 8
    }

    /// The lengths of the counted beats of a full bar, in order.
    pub fn beats(&self, counting: Counting) -> Vec<Ticks> {
        let unit = self.unit_length();
        let units = self.groups.iter().map(|&group| usize::from(group)).sum();
        match counting {
            Counting::Units => vec![unit; units],
            Counting::Beats if self.is_compound() => vec![unit * 3; units / 3],
            Counting::Beats if self.groups.len() > 1 && self.unit >= 8 => {
                self.groups.iter().map(|&group| unit * i64::from(group)).collect()
            }
            Counting::Beats => vec![unit; units],
        }
    }
}

impl fmt::Display for Meter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let groups: Vec<String> = self.groups.iter().map(u8::to_string).collect();
        write!(f, "{}/{}", groups.join("+"), self.unit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn beats(groups: &[u8], unit: u32) -> Vec<String> {
        Meter::new(groups, unit).unwrap().beats(Counting::Beats).iter().map(Ticks::to_string).collect()
    }

    /// Common practice: compound meters count dotted beats, additive ones their groups.
    #[test]
    fn beats_of_meters() {
        assert_eq!(beats(&[4], 4), ["1/1"; 4]);
        assert_eq!(beats(&[2], 2), ["2/1"; 2]);
        assert_eq!(beats(&[6], 8), ["3/2"; 2]);
        assert_eq!(beats(&[3], 8), ["1/2"; 3]);
        assert_eq!(beats(&[6], 4), ["1/1"; 6]);
        assert_eq!(beats(&[3, 2], 8), ["3/2", "1/1"]);
        assert_eq!(beats(&[7], 8), ["1/2"; 7]);
        assert_eq!(Meter::new(&[6], 8).unwrap().beats(Counting::Units).len(), 6);
        for (groups, unit) in [(&[][..], 4), (&[0], 4), (&[65], 4), (&[3], 3), (&[3], 0), (&[4], 128), (&[4], 256)] {
            assert!(Meter::new(groups, unit).is_err(), "{groups:?}/{unit}");
        }
    }
}
