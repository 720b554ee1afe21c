//! The file dialog.

use std::thread;

use super::Messenger;
use crate::intent::Intent;

/// Puts up the platform's file dialog and sends home what was chosen.
pub(super) fn ask_for_file(messenger: Messenger) {
    let failed = messenger.clone();
    let asking = thread::Builder::new().name("file dialog".to_owned()).spawn(move || {
        let chosen = rfd::FileDialog::new()
            .set_title("Open a piece")
            .add_filter("MusicXML", &["musicxml", "xml", "mxl"])
            .add_filter("All files", &["*"])
            .pick_file();
        messenger.send(Intent::FileChosen(chosen));
    });
    if asking.is_err() {
        failed.send(Intent::FileChosen(None));
    }
}
