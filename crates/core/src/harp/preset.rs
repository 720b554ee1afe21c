//! Harps as they are usually sold, by their number of strings.

use super::{Harp, HarpError, Tuning};
use crate::pitch::{Letter, SpelledPitch};

/// A usual range: so many strings between two letters.
///
/// Makers differ; these are starting points (common practice) and every string of the harp made from one can be edited.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Preset {
    strings: u8,
    highest: (Letter, i8),
    lowest: (Letter, i8),
}

const fn preset(strings: u8, lowest: (Letter, i8), highest: (Letter, i8)) -> Preset {
    Preset { strings, highest, lowest }
}

impl Preset {
    /// Every usual range, smallest first; where a string count has two, the first is the one meant by the count alone.
    pub const ALL: [Preset; 13] = [
        preset(19, (Letter::C, 4), (Letter::G, 6)),
        preset(22, (Letter::C, 4), (Letter::C, 7)),
        preset(22, (Letter::G, 3), (Letter::G, 6)),
        preset(26, (Letter::C, 3), (Letter::G, 6)),
        preset(27, (Letter::C, 3), (Letter::A, 6)),
        preset(29, (Letter::C, 3), (Letter::C, 7)),
        preset(29, (Letter::G, 2), (Letter::G, 6)),
        preset(30, (Letter::G, 2), (Letter::A, 6)),
        preset(34, (Letter::C, 2), (Letter::A, 6)),
        preset(36, (Letter::A, 1), (Letter::A, 6)),
        preset(36, (Letter::C, 2), (Letter::C, 7)),
        preset(38, (Letter::A, 1), (Letter::C, 7)),
        preset(40, (Letter::A, 1), (Letter::E, 7)),
    ];

    /// The usual range for a number of strings, if there is one.
    pub fn with_strings(strings: u8) -> Option<Preset> {
        Preset::ALL.into_iter().find(|preset| preset.strings == strings)
    }

    /// How many strings it has.
    pub const fn strings(self) -> u8 {
        self.strings
    }

    /// Its name: string count and range, such as `34 strings, C2–A6`.
    pub fn name(self) -> String {
        let ((low, low_octave), (high, high_octave)) = (self.lowest, self.highest);
        format!("{} strings, {low}{low_octave}–{high}{high_octave}", self.strings)
    }

    /// A harp of this range in a tuning, a lever on every string.
    pub fn tuned(self, tuning: Tuning) -> Harp {
        let natural = |(letter, octave)| SpelledPitch::new(letter, 0, octave);
        let harp = || -> Result<Harp, HarpError> {
            let (Ok(highest), Ok(lowest)) = (natural(self.highest), natural(self.lowest)) else {
                return Err(HarpError::StringCount { found: 0 });
            };
            Harp::spanning(format!("{}, {tuning} tuning", self.name()), highest, lowest, tuning)
        };
        #[expect(clippy::expect_used, reason = "every preset in every tuning is built by a test below")]
        harp().expect("the presets are ranges of valid pitches")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The string count follows from the two ends of each range by counting letters.
    #[test]
    fn every_preset_has_as_many_strings_as_it_says() {
        for preset in Preset::ALL {
            for tuning in Tuning::ALL {
                let harp = preset.tuned(tuning);
                assert_eq!(harp.strings().len(), usize::from(preset.strings()), "{}", harp.name());
                assert!(harp.strings().iter().all(|string| string.lever.is_fitted()));
            }
        }
        let usual = Preset::with_strings(34).unwrap().tuned(Tuning::EFlat);
        assert_eq!(usual.strings()[0].open.ascii(), "Ab6");
        assert_eq!(usual.strings()[33].open.ascii(), "C2");
        assert_eq!(Preset::with_strings(20), None);
    }
}
