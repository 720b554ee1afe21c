//! What can be asked about a pedal that speaks MIDI, and what it says.

use super::Intent;
use leverlane_formats::Said;

/// One thing about it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum MidiIntent {
    /// See which devices there are.
    LookForDevices,
    /// These are there.
    Devices(Vec<String>),
    /// Listen to the device of this name, or to none.
    Use(Option<String>),
    /// It is listened to.
    Joined(String),
    /// It can't be, for this reason.
    Failed(Said),
    /// A foot, or a finger on a key.
    Foot(Foot),
}

/// A movement.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Foot {
    /// The sustain pedal went down.
    Right,
    /// The soft pedal went down.
    Left,
    /// A key or pad was struck: the flip is made now.
    Tap,
}

impl From<MidiIntent> for Intent {
    fn from(intent: MidiIntent) -> Intent {
        Intent::Midi(intent)
    }
}
