//! The open piece as a document: where it is kept, and whether what is kept is what the player has now.

use std::path::PathBuf;

use leverlane_core::plan::EndOfPiece;
use leverlane_formats::documents::{self, DrillSettings};

use super::{State, Wishes};

/// Where the open piece is kept.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Document {
    /// Its file; none until it has been saved.
    pub path: Option<PathBuf>,
    /// What was decided when it was last saved or opened; none for a piece that exists nowhere else, such as one that
    /// was recovered or typed.
    pub kept: Option<Wishes>,
}

impl State {
    /// Whether the open piece would lose something by being closed.
    pub fn has_unsaved_changes(&self) -> bool {
        self.piece.is_some() && self.document.kept.as_ref() != Some(&self.wishes)
    }

    /// The open piece as it goes into a file: its score's bytes, and everything decided about it.
    pub fn to_document(&self) -> Option<documents::Piece> {
        let piece = self.piece.as_ref()?;
        let Wishes { harp, pace, goal, hands, cue_line, edits, rewrites } = self.wishes.clone();
        let drill = DrillSettings { chunk: self.drill.size, tempo: self.drill.tempo, ..DrillSettings::default() };
        Some(documents::Piece {
            title: piece.title(self.words()),
            source: (*piece.source).clone(),
            harp,
            hands,
            cue_line,
            tempo: goal,
            pace,
            ending: EndOfPiece::Stop,
            edits,
            rewrites,
            drill,
        })
    }
}
