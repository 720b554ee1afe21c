//! A piece on file: its score, the harp it is played on, and what the player has decided about it.
//!
//! ```text
//! (
//!     document: piece,
//!     version: 1,
//!     title: "Greensleeves",
//!     source: file(path: "greensleeves.musicxml", sha256: "6e34…"),
//!     harp: (strings: preset(strings: 34, tuning: "Eb")),
//!     hands: usual,
//!     tempo: (beat: "3/2", per_minute: 36.0),
//!     pace: "improver",
//!     ending: stop,
//!     edits: [
//!         place(flip: (string: 16, to: up, needed_in: 3, needed_at: "9/4", time_through: 0), bar: 3, at: "3/2"),
//!     ],
//!     drill: (chunk: bar_each_side, count_in_bars: 1, tempo: (beat: "3/2", per_minute: 24.0)),
//! )
//! ```
//!
//! The source may also be a score inside the document (`inside(name: "a.abc", tune: 2, content: b"X:1 …")`), a bare
//! passage or typed bars:
//!
//! ```text
//!     source: passage(meter: "6/8", tempo: (beat: "3/2", per_minute: 50.0), key: 1, bars: 24, flips: [
//!         "bar 12 beat 2: C5 up",
//!     ]),
//!     source: typed(meter: "4/4", unit: "1/2", tempo: (beat: "1/1", per_minute: 80.0), key: 0, right: [
//!         "CDEF G4|",
//!     ], left: ["C,4 G,4|"]),
//! ```
//!
//! hands may change with the bars, and another part may be kept as a cue line:
//!
//! ```text
//!     hands: by_bars(otherwise: usual, ranges: [(first: 8, last: 11, hands: all(parts: [1], hand: left))]),
//!     cue_line: 0,
//! ```
//!
//! [`Piece::new`] begins one, [`Piece::load`] and [`Piece::save`] go to and from a file, [`Piece::open`] gives its music.
//!
//! Bars are places in the score from 0, tunes places in the file from 0, strings count from 1 at the top, places in a bar are quarter notes from its
//! start.

mod music;
pub(super) mod written;

use std::path::Path;

use leverlane_core::drill::ChunkSize;
use leverlane_core::plan::{Edit, EndOfPiece, Pace};
use leverlane_core::score::{HandRule, Rewrite};
use leverlane_core::time::Tempo;

use super::text::{self, Kind};
use super::{DocumentError, HarpDocument, MOST_BYTES, Source};
use crate::files;
pub use music::{Music, OpenError};
use written::WrittenPiece;

/// A piece with everything the player has decided about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// What the player calls it.
    pub title: String,
    /// Its score.
    pub source: Source,
    /// The harp it is planned for.
    pub harp: HarpDocument,
    /// Who plays what.
    pub hands: HandRule,
    /// Another player's part that is kept as a cue line, by its place in the score.
    pub cue_line: Option<usize>,
    /// The wanted tempo at the start; none for the score's own.
    pub tempo: Option<Tempo>,
    /// How fast her hands are.
    pub pace: Pace,
    /// What follows the end.
    pub ending: EndOfPiece,
    /// Her own decisions about flips.
    pub edits: Vec<Edit>,
    /// Her changes to the notes.
    pub rewrites: Vec<Rewrite>,
    /// How it is practised.
    pub drill: DrillSettings,
}

/// How a piece is practised.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrillSettings {
    /// How much music goes around a flip.
    pub chunk: ChunkSize,
    /// Bars counted before the first pass.
    pub count_in_bars: u8,
    /// The tempo it is practised at; none for the wanted tempo of the piece.
    pub tempo: Option<Tempo>,
}

impl Default for DrillSettings {
    fn default() -> DrillSettings {
        DrillSettings { chunk: ChunkSize::default(), count_in_bars: 1, tempo: None }
    }
}

impl Piece {
    /// A piece about which nothing has been decided: hands as usual, the music's own tempo, fluent hands, no edits.
    pub fn new(title: impl Into<String>, source: Source, harp: HarpDocument) -> Piece {
        Piece {
            title: title.into(),
            source,
            harp,
            hands: HandRule::Usual,
            cue_line: None,
            tempo: None,
            pace: Pace::default(),
            ending: EndOfPiece::default(),
            edits: Vec::new(),
            rewrites: Vec::new(),
            drill: DrillSettings::default(),
        }
    }

    /// Reads a piece from a file. A source in a file of its own is looked for when it is opened.
    ///
    /// # Errors
    /// A file that can't be read, and as [`Piece::read`].
    pub fn load(path: &Path) -> Result<Piece, DocumentError> {
        Piece::read(&files::read(path, MOST_BYTES)?)
    }

    /// Puts the piece into a file in one step; what was there is kept as [`files::previous_version`].
    ///
    /// # Errors
    /// A file that can't be written; it is then as it was.
    pub fn save(&self, path: &Path) -> Result<(), DocumentError> {
        Ok(files::save(path, &self.write()?)?)
    }

    /// Reads a piece.
    ///
    /// # Errors
    /// Bytes that are no piece document, one of a newer version, or values that can't be.
    pub fn read(bytes: &[u8]) -> Result<Piece, DocumentError> {
        text::version(bytes, Kind::Piece)?;
        text::parse::<WrittenPiece>(bytes)?.read()
    }

    /// Writes the piece in the newest version.
    ///
    /// # Errors
    /// None is known.
    pub fn write(&self) -> Result<Vec<u8>, DocumentError> {
        text::write(&WrittenPiece::from(self))
    }
}

#[cfg(test)]
mod tests;
