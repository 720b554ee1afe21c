//! What can be asked about the harp.

use leverlane_core::harp::{LeverState, Preset, StringNumber, Tuning};
use leverlane_core::pitch::Letter;

use super::Intent;

/// One thing asked about the player's harp.
#[derive(Clone, Debug)]
pub enum HarpIntent {
    /// Play on a harp of this range.
    UsePreset(Preset),
    /// Play on a harp tuned so.
    UseTuning(Tuning),
    /// The next usual range, smallest first, round and round.
    NextPreset,
    /// The next usual tuning, round and round.
    NextTuning,
    /// Have levers on the strings of these letters only; none stands for all strings.
    UseLevers(Option<Vec<Letter>>),
    /// Look at this string.
    Select(StringNumber),
    /// Look at the string so many places nearer to the bass, or to the top below 0.
    SelectBeside(i8),
    /// Tune the open string to its letter altered so: −1 flat, 0 natural, 1 sharp.
    Tune(StringNumber, i8),
    /// Say whether the string has a lever.
    Fit(StringNumber, Fitting),
    /// Set the lever before the start, or leave it to the plan.
    SetBefore(StringNumber, Option<LeverState>),
}

/// Whether a string has a lever.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fitting {
    /// It has one.
    Lever,
    /// It always sounds open.
    NoLever,
}

impl From<HarpIntent> for Intent {
    fn from(intent: HarpIntent) -> Intent {
        Intent::Harp(intent)
    }
}
