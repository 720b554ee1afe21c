//! Where strings and levers are, as far as a hand has to reach.

use crate::pitch::SpelledPitch;

/// A length in millimetres.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Millimetres(f64);

impl Millimetres {
    /// So many millimetres.
    pub const fn new(millimetres: f64) -> Self {
        Millimetres(millimetres)
    }

    /// The number of millimetres.
    pub const fn get(self) -> f64 {
        self.0
    }
}

/// Where a string stands, seen from the player's side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StringPlace {
    /// Distance from the shortest string, across the strings.
    pub across: Millimetres,
    /// How far the lever lies above the place where the string is plucked.
    pub lever_above: Millimetres,
}

/// From one string to the next (string-maker's nominal worksheet: 15.9 mm).
const NOMINAL_SPACING_MM: f64 = 15.9;

impl StringPlace {
    /// A nominal place for the string with this open pitch, so many strings below the top.
    ///
    /// Spacing is the nominal one throughout. The lever's height over the plucking place is half the string's length,
    /// 300 mm at C4 and halving every 15 semitones upward, but never more than 420 mm: bass strings are plucked
    /// relatively higher. The lengths are assumed, drawn from no measured harp; a player edits them for hers.
    pub fn nominal(open: SpelledPitch, strings_below_top: usize) -> StringPlace {
        let above_c4 = f64::from(open.midi().get()) - 60.0;
        StringPlace {
            across: Millimetres(NOMINAL_SPACING_MM * strings_below_top as f64),
            lever_above: Millimetres((300.0 * (-above_c4 / 15.0).exp2()).clamp(60.0, 420.0)),
        }
    }

    /// The straight way from this string's plucking place to another's lever.
    pub fn distance_to_lever_of(&self, other: &StringPlace) -> Millimetres {
        Millimetres((self.across.0 - other.across.0).hypot(other.lever_above.0))
    }
}

/// How a harp is built, register by register, as a player measures it at a few strings.
///
/// What isn't measured is nominal ([`StringPlace::nominal`]).
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Geometry {
    /// From a string to the next one above it.
    pub spacing: Option<Profile>,
    /// How far a string's lever lies above the place where it is plucked.
    pub lever_above: Option<Profile>,
}

/// A length that changes from register to register: measured at some strings, in straight lines from letter to letter between
/// them, and the same beyond the outermost.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    /// By staff steps, ascending; at least one.
    measured: Vec<(f64, f64)>,
}

impl Profile {
    /// A profile through lengths measured at some strings, in any order. Only letter and octave of the pitches count; none where no
    /// string is given, or one is given twice.
    pub fn through(measured: &[(SpelledPitch, Millimetres)]) -> Option<Profile> {
        let mut points: Vec<(i16, f64)> =
            measured.iter().map(|(open, length)| (open.staff_steps(), length.get())).collect();
        points.sort_by_key(|&(steps, _)| steps);
        let distinct = points.windows(2).all(|pair| pair[0].0 < pair[1].0);
        let measured: Vec<(f64, f64)> = points.into_iter().map(|(steps, length)| (f64::from(steps), length)).collect();
        (distinct && !measured.is_empty()).then_some(Profile { measured })
    }

    /// The length at a string.
    pub fn at(&self, open: SpelledPitch) -> Millimetres {
        let steps = f64::from(open.staff_steps());
        let above = self.measured.partition_point(|&(measured, _)| measured < steps);
        let after = self.measured.get(above).or(self.measured.last());
        let before = above.checked_sub(1).and_then(|below| self.measured.get(below)).or(after);
        let length = match (before, after) {
            (Some(&(low, from)), Some(&(high, to))) if low < high => from + (to - from) * (steps - low) / (high - low),
            (_, Some(&(_, length))) => length,
            _ => 0.0,
        };
        Millimetres(length)
    }
}

impl Geometry {
    /// The places of strings from the top.
    pub fn places(&self, opens: impl IntoIterator<Item = SpelledPitch>) -> Vec<StringPlace> {
        let mut across = 0.0;
        let place = |(below_top, open): (usize, SpelledPitch)| {
            let nominal = StringPlace::nominal(open, below_top);
            if let Some(spacing) = self.spacing.as_ref().filter(|_| below_top > 0) {
                across += spacing.at(open).get();
            }
            StringPlace {
                across: if self.spacing.is_some() { Millimetres(across) } else { nominal.across },
                lever_above: self.lever_above.as_ref().map_or(nominal.lever_above, |heights| heights.at(open)),
            }
        };
        opens.into_iter().enumerate().map(place).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn profile(points: &[(&str, f64)]) -> Option<Profile> {
        let points: Vec<_> =
            points.iter().map(|&(open, length)| (open.parse().unwrap(), Millimetres::new(length))).collect();
        Profile::through(&points)
    }

    fn opens(text: &str) -> Vec<SpelledPitch> {
        text.split_whitespace().map(|open| open.parse().unwrap()).collect()
    }

    /// By hand: from C4 to C5 are seven letters, so 14 mm at C4 and 10.5 mm at C5 lose half a millimetre a letter; beyond both it
    /// stays.
    #[test]
    fn lengths_lie_on_straight_lines() {
        let spacing = profile(&[("C5", 10.5), ("C4", 14.0)]).unwrap();
        for (open, length) in [("C4", 14.0), ("D4", 13.5), ("Gb4", 12.0), ("C5", 10.5), ("C7", 10.5), ("C2", 14.0)] {
            assert!((spacing.at(open.parse().unwrap()).get() - length).abs() < 1e-9, "{open}");
        }
        assert_eq!(profile(&[]), None);
        assert_eq!(profile(&[("C4", 1.0), ("C#4", 2.0)]), None, "one string");
    }

    /// By hand: D5 is first; C5 lies 10.5 mm from it, B4 another 11, A4 another 11.5.
    #[test]
    fn spacings_add_up_from_the_top() {
        let geometry = Geometry { spacing: profile(&[("C5", 10.5), ("C4", 14.0)]), lever_above: None };
        let across: Vec<f64> = geometry.places(opens("D5 C5 B4 A4")).iter().map(|place| place.across.get()).collect();
        assert_eq!(across, [0.0, 10.5, 21.5, 33.0]);
        assert_eq!(geometry.places(opens("C5"))[0].lever_above, StringPlace::nominal(opens("C5")[0], 0).lever_above);
        let flat = Geometry { spacing: None, lever_above: profile(&[("C4", 250.0)]) };
        let places = flat.places(opens("D5 C5"));
        assert_eq!(places.iter().map(|place| place.lever_above.get()).collect::<Vec<_>>(), [250.0, 250.0]);
        assert_eq!(places[1].across, Millimetres(NOMINAL_SPACING_MM));
    }
}
