//! Recordings of a harp with known truth, made to measure hearing by.
//!
//! The plucks are not ours: fluidsynth renders General MIDI's harp (program 46 counted from 0) from the sound font
//! TimGM6mb, one pluck of each kind, and we add them up at exact samples; every string rings until it is plucked again.
//! Rooms and noises are simulated. The same seed gives the same recording.

pub mod bank;
pub mod chance;
pub mod passage;
pub mod room;

pub use bank::{Bank, Instrument, PluckKind};
pub use chance::Chance;
pub use passage::{Kind, Passage, TrueNote};

/// Samples a second of every recording.
pub const RATE: u32 = 44_100;
