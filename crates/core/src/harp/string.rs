//! One string.

use std::fmt;

use super::{Lever, LeverState, StringPlace, StringSound};
use crate::pitch::SpelledPitch;

/// A string's number from the top: 1 is the shortest and highest (practice of string makers).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StringNumber(u8);

impl StringNumber {
    /// A string number, or `None` for 0.
    pub const fn new(number: u8) -> Option<StringNumber> {
        if number == 0 { None } else { Some(StringNumber(number)) }
    }

    /// The number of the string at a place in a list that begins at the top.
    pub(crate) const fn from_index(index: usize) -> StringNumber {
        // Harps are limited to Harp::MOST_STRINGS, far below 255.
        StringNumber(index as u8 + 1)
    }

    /// The number, 1 or more.
    pub const fn get(self) -> u8 {
        self.0
    }

    /// The place in a list of strings that begins at the top.
    pub const fn index(self) -> usize {
        self.0 as usize - 1
    }

    /// The number of the next string towards the top, if there is one.
    pub const fn above(self) -> Option<StringNumber> {
        StringNumber::new(self.0 - 1)
    }

    /// The number of the next string towards the bass, whether or not a harp has it.
    pub const fn below(self) -> Option<StringNumber> {
        if self.0 == u8::MAX { None } else { StringNumber::new(self.0 + 1) }
    }

    /// Whether the two strings stand side by side.
    pub const fn is_beside(self, other: StringNumber) -> bool {
        self.0.abs_diff(other.0) == 1
    }
}

impl fmt::Display for StringNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

/// A string: what it sounds with its lever down, whether it has a lever, where it stands, and how it sounds.
#[derive(Clone, Debug, PartialEq)]
pub struct HarpString {
    /// The pitch with the lever down.
    pub open: SpelledPitch,
    /// Its lever, if it has one.
    pub lever: Lever,
    /// Where it is on the harp.
    pub place: StringPlace,
    /// How it was found to sound when its lever was checked.
    pub sound: StringSound,
}

impl HarpString {
    /// What the string sounds in a lever state: the open pitch, or the same letter a semitone higher.
    pub fn sounds(&self, state: LeverState) -> SpelledPitch {
        // An open string that can't be raised (above G9, or a triple sharp) is refused by Harp::new.
        self.open.altered_by(state.semitones()).unwrap_or(self.open)
    }

    /// Whether the lever can bring the string into the state.
    pub fn allows(&self, state: LeverState) -> bool {
        state == LeverState::Down || self.lever.is_fitted()
    }
}
