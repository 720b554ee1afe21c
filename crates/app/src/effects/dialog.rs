//! The file dialog.

use std::thread;
use std::time::{Duration, Instant};

use super::Messenger;
use crate::intent::Intent;

/// Nobody dismisses a dialog sooner: it was never shown. (The dialog itself doesn't tell one from the other.)
const SOONEST_REFUSAL: Duration = Duration::from_millis(250);

/// Puts up the platform's file dialog and sends home what was chosen.
pub(super) fn ask_for_file(messenger: Messenger) {
    let failed = messenger.clone();
    let asking = thread::Builder::new().name("file dialog".to_owned()).spawn(move || {
        let asked = Instant::now();
        let chosen = rfd::FileDialog::new()
            .set_title("Open a piece")
            .add_filter("Scores", &["musicxml", "xml", "mxl", "mid", "midi", "abc"])
            .add_filter("All files", &["*"])
            .pick_file();
        let was_shown = chosen.is_some() || asked.elapsed() >= SOONEST_REFUSAL;
        messenger.send(Intent::FileChosen(chosen));
        if !was_shown {
            messenger.send(Intent::Trouble(NO_DIALOG.to_owned()));
        }
    });
    if asking.is_err() {
        failed.send(Intent::FileChosen(None));
        failed.send(Intent::Trouble(NO_DIALOG.to_owned()));
    }
}

const NO_DIALOG: &str =
    "This desktop shows no file dialog; drop the file on this window, or start the program as leverlane FILE";
