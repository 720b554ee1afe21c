//! What is played to measure the latency with.

use leverlane_core::time::Seconds;

/// Sounds in a row, equally far apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Probes {
    /// What sounds.
    pub what: Probe,
    /// How many.
    pub count: u32,
    /// From one to the next.
    pub apart: Seconds,
}

/// A sound to measure with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Probe {
    /// A sweep, for the microphone to hear.
    Sweep,
    /// A click, for the player to tap along with.
    Click,
}
