//! Levers and where they stand.

use std::fmt;
use std::ops::Not;

use crate::pitch::Cents;

/// Whether a string has a lever.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Lever {
    /// The string always sounds open.
    NotFitted,
    /// The string can be raised by a semitone.
    Fitted {
        /// By how much it was found to raise its string, once it has been checked.
        measured: Option<Cents>,
    },
}

impl Lever {
    /// A lever that nobody has measured yet.
    pub const UNCHECKED: Lever = Lever::Fitted { measured: None };

    /// Whether the string can be raised at all.
    pub const fn is_fitted(self) -> bool {
        matches!(self, Lever::Fitted { .. })
    }
}

/// Where one lever stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LeverState {
    /// Off: the string sounds open. A string without a lever is always down.
    #[default]
    Down,
    /// On: the string sounds a semitone higher.
    Up,
}

impl LeverState {
    /// Semitones above the open string: 0 or 1.
    pub const fn semitones(self) -> i8 {
        self as i8
    }
}

impl Not for LeverState {
    type Output = LeverState;
    fn not(self) -> LeverState {
        match self {
            LeverState::Down => LeverState::Up,
            LeverState::Up => LeverState::Down,
        }
    }
}

impl fmt::Display for LeverState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            LeverState::Down => "down",
            LeverState::Up => "up",
        })
    }
}
