//! What can be asked about files.

use leverlane_formats::Said;
use std::path::PathBuf;
use std::sync::Arc;

use super::Intent;
use crate::effects::Opened;
use crate::state::{Draft, Origin, Wishes};

/// One thing asked about opening and saving.
#[derive(Clone, Debug)]
pub enum FileIntent {
    /// Ask the player for a file.
    Ask,
    /// She chose one, or none.
    Chosen(Option<PathBuf>),
    /// Open a piece or a harp.
    Open(Origin),
    /// Open a piece or a harp from bytes that are already here.
    OpenBytes {
        /// What to call it.
        name: String,
        /// The bytes.
        bytes: Arc<[u8]>,
    },
    /// Open one tune of the file whose tunes are listed.
    OpenTune(usize),
    /// What is written down from paper is this now.
    ChangeDraft(Box<Draft>),
    /// Open what is written down as a piece.
    MakeDraft,
    /// Give up an opening that takes too long.
    GiveUp,
    /// An opening job is done, or one line says why not.
    Opened {
        /// Which job.
        job: u64,
        /// What came of it.
        result: Result<Arc<Opened>, Said>,
    },
    /// Save the piece where it is kept; ask where, if it is kept nowhere yet.
    Save,
    /// Ask where to save the piece.
    SaveAs,
    /// She said where to save the piece, or gave it up.
    SaveTo(Option<PathBuf>),
    /// The piece is saved, or one line says why not.
    Saved {
        /// Where.
        path: PathBuf,
        /// What was decided about it when it was saved.
        wishes: Box<Wishes>,
        /// What came of it.
        result: Result<(), Said>,
    },
    /// Ask where to save the harp.
    SaveHarp,
    /// She said where to save the harp, or gave it up.
    SaveHarpTo(Option<PathBuf>),
    /// The window is to be closed.
    Close,
    /// The answer to the question that stands there.
    Answer(Answer),
    /// Pieces were found that a run before left unsaved, each by its recovery file and its title.
    LeftBehind(Vec<(PathBuf, String)>),
}

/// Answers to the window's questions.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answer {
    /// Save first, then go on.
    Save,
    /// Go on without saving.
    Discard,
    /// Leave everything as it is.
    Cancel,
    /// Take this piece up again.
    Recover(PathBuf),
}

impl From<FileIntent> for Intent {
    fn from(intent: FileIntent) -> Intent {
        Intent::File(intent)
    }
}
