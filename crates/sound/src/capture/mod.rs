//! The microphone: what it hears, counted sample by sample.
//!
//! ```text
//! device's thread:  Intake ══ rings ══→ Capture ─→ Block, Block, …   (LevelMeter watches them)
//! ```
//!
//! An [`Intake`] lives in the device's callback and neither allocates, locks, logs nor waits. It makes one channel of
//! what the device has, numbers every sample, and keeps when each piece arrived. Where the rings are full because
//! nobody reads, the piece is left out whole and counted; the numbering goes on, so that what follows still stands in
//! its right place. A [`Capture`] reads. [`Microphone`] joins both to a device, [`pair`] makes them for any other
//! source: a file, or a device made up for a test.
//!
//! Nothing that is heard is kept: blocks are gone once they are read. Only a [`Keeping`] writes them to a file, and
//! one is made only when the player asks.

mod intake;
mod keeping;
mod level;
mod microphone;
mod reading;

pub use intake::{ChannelChoice, Intake, Source};
pub use keeping::{Keeping, KeepingError};
pub use level::{Decibels, LevelMeter, LevelWarning};
pub use microphone::{Microphone, MicrophoneName, microphones};
pub use reading::{Block, Capture, CaptureTroubles, HeardIndex, HeardPoint, pair};
