//! A question that waits for the player's answer.

use std::path::PathBuf;
use std::sync::Arc;

use super::Origin;

/// Asked before something would be lost.
#[derive(Clone, Debug, PartialEq)]
pub enum Question {
    /// The open piece has changes that are in no file; this was to be done.
    SaveFirst(Next),
    /// Pieces were left unsaved when the program last ended; each by its recovery file and its title.
    Recover(Vec<(PathBuf, String)>),
}

/// What is done once the open piece may go.
#[derive(Clone, Debug, PartialEq)]
pub enum Next {
    /// Ask for a file to open.
    AskForFile,
    /// Open a piece.
    Open(Origin),
    /// Open a piece from bytes that are already here.
    OpenBytes {
        /// What to call it.
        name: String,
        /// The bytes.
        bytes: Arc<[u8]>,
    },
    /// Open what is written down from paper.
    MakeDraft,
    /// Close the window.
    Close,
}
