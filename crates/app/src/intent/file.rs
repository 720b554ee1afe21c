//! What can be asked about files.

use std::path::PathBuf;
use std::sync::Arc;

use super::Intent;
use crate::state::{Origin, Piece};

/// One thing asked about opening and saving.
#[derive(Clone, Debug)]
pub enum FileIntent {
    /// Ask the player for a file.
    Ask,
    /// She chose one, or none.
    Chosen(Option<PathBuf>),
    /// Open a piece.
    Open(Origin),
    /// Open a piece from bytes that are already here.
    OpenBytes {
        /// What to call it.
        name: String,
        /// The bytes.
        bytes: Arc<[u8]>,
    },
    /// An opening job is done: a piece, or one line that says why not.
    Opened {
        /// Which job.
        job: u64,
        /// What came of it.
        result: Result<Arc<Piece>, String>,
    },
}

impl From<FileIntent> for Intent {
    fn from(intent: FileIntent) -> Intent {
        Intent::File(intent)
    }
}
