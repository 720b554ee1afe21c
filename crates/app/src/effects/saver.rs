//! Saving the player's documents, each on a thread of its own.

use std::path::PathBuf;
use std::thread;

use leverlane_formats::documents::{HarpDocument, Piece};
use leverlane_formats::{files, said};

use super::Messenger;
use crate::intent::{FileIntent, Intent};
use crate::state::Wishes;

/// Saves the piece and tells what came of it.
pub(super) fn save(messenger: Messenger, path: PathBuf, document: Box<Piece>, wishes: Box<Wishes>) {
    let failed = messenger.clone();
    let (at, decided) = (path.clone(), wishes.clone());
    let saving = thread::Builder::new().name("saver".to_owned()).spawn(move || {
        let result = document
            .write()
            .map_err(|error| error.said())
            .and_then(|bytes| files::save(&path, &bytes).map_err(|error| error.said()));
        messenger.send(FileIntent::Saved { path, wishes, result }.into());
    });
    if let Err(error) = saving {
        let result = Err(said!(
            "saving could not be started ({error}); close other programs and try again",
            error = error.to_string()
        ));
        failed.send(FileIntent::Saved { path: at, wishes: decided, result }.into());
    }
}

/// Saves the harp; only a failure is told.
pub(super) fn save_harp(messenger: &Messenger, path: PathBuf, harp: &HarpDocument) {
    let saved = harp
        .write()
        .map_err(|error| error.said())
        .and_then(|bytes| files::save(&path, &bytes).map_err(|error| error.said()));
    if let Err(reason) = saved {
        messenger.send(Intent::Trouble(reason));
    }
}
