//! The piece that comes with the program, so that everything can be tried before a file is at hand.

use leverlane_core::harp::{Preset, Tuning};
use leverlane_formats::documents::HarpDocument;

/// Its MusicXML: a traditional tune, public domain, in our own arrangement.
pub const PIECE: &[u8] = include_bytes!("../../../demo/greensleeves.musicxml");

/// The harp it was arranged for: 34 strings tuned in C.
pub fn harp() -> HarpDocument {
    let preset = Preset::with_strings(34).unwrap_or(Preset::ALL[0]);
    HarpDocument::Preset { name: String::new(), preset, tuning: Tuning::C, levers_on: None }
}
