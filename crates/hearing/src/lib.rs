//! Hearing a harp: samples in; onsets, pitches and lever states out. Pure signal processing, no device is opened here.

mod attack;
mod clock;
mod growth;
mod listener;
mod moment;
mod novelty;
mod onset;
mod partial_rise;
mod peaks;
mod polyphony;
mod recent;
mod spectrum;

pub use clock::{SampleIndex, SampleRate};
pub use listener::{Heard, Listener};
pub use moment::HeardNote;
pub use onset::Onset;
