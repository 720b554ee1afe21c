//! How the open strings are tuned, levers down.

use std::fmt;
use std::str::FromStr;

use crate::pitch::{Key, Letter};

/// An open tuning: the major scale that all strings make with every lever down.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Tuning {
    /// C major: no letter altered.
    C,
    /// F major.
    F,
    /// B♭ major, rarely met.
    BFlat,
    /// E♭ major, the usual one on fully levered harps.
    EFlat,
    /// A♭ major.
    AFlat,
}

/// A text that names no usual tuning.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{found}\" is no tuning: expected C, F, Bb, Eb or Ab")]
pub struct UnknownTuning {
    /// What was given.
    pub found: String,
}

impl Tuning {
    /// The usual open tunings, fewest flats first.
    pub const ALL: [Tuning; 5] = [Tuning::C, Tuning::F, Tuning::BFlat, Tuning::EFlat, Tuning::AFlat];

    /// The key whose signature the open strings follow.
    pub fn key(self) -> Key {
        Key::from_fifths(match self {
            Tuning::C => 0,
            Tuning::F => -1,
            Tuning::BFlat => -2,
            Tuning::EFlat => -3,
            Tuning::AFlat => -4,
        })
        .unwrap_or_default()
    }

    /// What the tuning does to a letter: −1 or 0 semitones.
    pub fn alter(self, letter: Letter) -> i8 {
        self.key().alter(letter)
    }

    /// Plain letters for files and the command line.
    pub const fn ascii(self) -> &'static str {
        match self {
            Tuning::C => "C",
            Tuning::F => "F",
            Tuning::BFlat => "Bb",
            Tuning::EFlat => "Eb",
            Tuning::AFlat => "Ab",
        }
    }
}

impl fmt::Display for Tuning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.ascii().replace('b', "♭"))
    }
}

impl FromStr for Tuning {
    type Err = UnknownTuning;

    fn from_str(text: &str) -> Result<Tuning, UnknownTuning> {
        let plain = text.trim().replace('♭', "b");
        Tuning::ALL
            .into_iter()
            .find(|tuning| tuning.ascii().eq_ignore_ascii_case(&plain))
            .ok_or_else(|| UnknownTuning { found: text.to_owned() })
    }
}
