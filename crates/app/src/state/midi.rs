//! Pedals that speak MIDI.

use leverlane_formats::Said;

/// What is known of them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct MidiDesk {
    /// The devices that there were when it was last looked.
    pub devices: Vec<String>,
    /// How it stands with the one that was chosen.
    pub standing: MidiStanding,
}

/// Whether a device is listened to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum MidiStanding {
    /// None is.
    #[default]
    Apart,
    /// It is.
    Joined,
    /// It can't be, for this reason.
    Failed(Said),
}
