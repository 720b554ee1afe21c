//! What can be asked of the lever check and the tuner.

use leverlane_core::harp::StringNumber;

use super::Intent;
use crate::state::{ConcertPitch, PlucksEach};

/// One thing asked of the lever check or the tuner.
#[derive(Clone, Debug)]
pub enum RegulatingIntent {
    /// Ask for this string, from its beginning.
    Ask(StringNumber),
    /// Pass this string over.
    PassOver,
    /// Ask for the string before once more.
    Before,
    /// Begin the check anew.
    Again,
    /// Pluck each string so often.
    UseEach(PlucksEach),
    /// Keep what was measured with the harp.
    Keep,
    /// Tune A4 to this.
    UsePitch(ConcertPitch),
}

impl From<RegulatingIntent> for Intent {
    fn from(intent: RegulatingIntent) -> Intent {
        Intent::Regulating(intent)
    }
}
