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
