//! The seven letters.

use std::fmt;

/// The letter of a note or string. English names: B is the note below C.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Letter {
    /// Red on most harps.
    C,
    /// Plain.
    D,
    /// Plain.
    E,
    /// Black, blue or purple on most harps.
    F,
    /// Plain.
    G,
    /// Plain.
    A,
    /// Plain.
    B,
}

impl Letter {
    /// From C up to B.
    pub const ALL: [Letter; 7] = [Letter::C, Letter::D, Letter::E, Letter::F, Letter::G, Letter::A, Letter::B];

    /// Steps above C, 0–6.
    pub const fn steps_above_c(self) -> u8 {
        self as u8
    }

    /// Semitones of the natural above C.
    pub const fn semitones_above_c(self) -> u8 {
        [0, 2, 4, 5, 7, 9, 11][self as usize]
    }

    /// The letter so many steps above C, counted round the octave.
    pub fn from_steps(steps: i32) -> Letter {
        Letter::ALL[steps.rem_euclid(7) as usize]
    }

    /// The letter of a capital or small A–G.
    pub fn from_char(c: char) -> Option<Letter> {
        Letter::ALL.into_iter().find(|letter| letter.as_char() == c.to_ascii_uppercase())
    }

    /// The capital.
    pub const fn as_char(self) -> char {
        ['C', 'D', 'E', 'F', 'G', 'A', 'B'][self as usize]
    }
}

impl fmt::Display for Letter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.as_char())
    }
}
