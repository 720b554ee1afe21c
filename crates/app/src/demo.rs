//! The piece that comes with the program, so that everything can be tried before a file is at hand.

use leverlane_core::harp::{Preset, Tuning};

use crate::state::HarpChoice;

/// Its MusicXML: a traditional tune, public domain, in our own arrangement.
pub const PIECE: &[u8] = include_bytes!("../../../demo/greensleeves.musicxml");

/// The harp it was arranged for: 34 strings tuned in C.
pub fn harp() -> HarpChoice {
    let usual = HarpChoice::default();
    HarpChoice { preset: Preset::with_strings(34).unwrap_or(usual.preset), tuning: Tuning::C }
}
