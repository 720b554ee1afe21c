//! Key signatures.

use super::Letter;

/// A key signature by its place on the circle of fifths: sharps positive, flats negative, −7 to 7.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Key(i8);

impl Key {
    /// No sharps or flats.
    pub const NATURAL: Key = Key(0);

    /// A key signature, or `None` beyond seven accidentals.
    pub fn from_fifths(fifths: i8) -> Option<Key> {
        (-7..=7).contains(&fifths).then_some(Key(fifths))
    }

    /// Sharps (positive) or flats (negative).
    pub const fn fifths(self) -> i8 {
        self.0
    }

    /// What the signature does to a letter: −1, 0 or 1 semitones.
    ///
    /// The order of sharps is F C G D A E B, that of flats its reverse (common practice).
    pub fn alter(self, letter: Letter) -> i8 {
        const SHARPS: [Letter; 7] = [Letter::F, Letter::C, Letter::G, Letter::D, Letter::A, Letter::E, Letter::B];
        let place = SHARPS.iter().position(|&l| l == letter).map_or(0, |p| p as i8);
        if place < self.0 {
            1
        } else if 6 - place < -self.0 {
            -1
        } else {
            0
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signatures_alter_the_letters_in_their_order() {
        let spelled = |fifths| Letter::ALL.map(|letter| Key::from_fifths(fifths).unwrap().alter(letter));
        assert_eq!(spelled(0), [0; 7]);
        assert_eq!(spelled(-3), [0, 0, -1, 0, 0, -1, -1], "E flat major: B, E and A flat");
        assert_eq!(spelled(2), [1, 0, 0, 1, 0, 0, 0], "D major: F and C sharp");
        assert_eq!(spelled(7), [1; 7]);
        assert_eq!(spelled(-7), [-1; 7]);
        assert_eq!(Key::from_fifths(8), None);
    }
}
