//! Hearing a harp: samples in; onsets, pitches and lever states out. Pure signal processing, no device is opened here.

mod attack;
mod clock;
mod listener;
mod novelty;
mod onset;
mod peaks;
mod recent;
mod spectrum;

pub use clock::{SampleIndex, SampleRate};
pub use listener::{Heard, Listener};
pub use onset::Onset;
