//! What can be asked about the settings.

use leverlane_core::verdict::Thresholds;
use leverlane_sound::ClickSound;

use super::Intent;
use crate::keys::{Action, Binding};
use crate::state::{Colours, Distance, Movement, Side};
use crate::words::{Language, NoteNames, Octaves};

/// One thing asked about what holds for every piece.
#[derive(Clone, Debug, PartialEq)]
pub enum SettingsIntent {
    /// Speak this language.
    UseLanguage(Language),
    /// Call the notes so.
    UseNotes(NoteNames),
    /// Count octaves so.
    UseOctaves(Octaves),
    /// Light or dark.
    UseColours(Colours),
    /// Picture the harp from this side.
    UseSide(Side),
    /// Let so much move.
    UseMovement(Movement),
    /// Click so.
    UseClick(ClickSound),
    /// Judge passes by these limits, or by those of her level.
    UseLimits(Option<Thresholds>),
    /// Wait for a key that shall do this, or no longer wait.
    WantKey(Option<Action>),
    /// Give a key to an action, or take it away again.
    SwitchKey(Binding),
    /// Have all keys as they came.
    UsualKeys,
    /// Show the Drill for this distance.
    UseDistance(Distance),
}

impl From<SettingsIntent> for Intent {
    fn from(intent: SettingsIntent) -> Intent {
        Intent::Settings(intent)
    }
}
