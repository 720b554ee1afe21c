//! Whether the loop is sounding, and where in it the present moment is.

use leverlane_core::time::Ticks;

/// A moment within the loop.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PassPlace {
    /// How many passes are done.
    pub pass: u64,
    /// From the start of the pass; below zero in the count-in.
    pub at: Ticks,
}

impl PassPlace {
    /// Whether the count-in is sounding.
    pub fn is_count_in(&self) -> bool {
        self.at < Ticks::ZERO
    }
}

/// Whether the loop is sounding.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Transport {
    /// Silent; the next start begins with the count-in.
    #[default]
    Stopped,
    /// Sounding; where, once the sound's clock has said so.
    Playing(Option<PassPlace>),
}

impl Transport {
    /// Whether the loop is sounding.
    pub fn is_playing(&self) -> bool {
        matches!(self, Transport::Playing(_))
    }

    /// Where the present moment is, if anything is sounding.
    pub fn place(&self) -> Option<PassPlace> {
        match self {
            Transport::Playing(place) => *place,
            Transport::Stopped => None,
        }
    }
}
