//! The file dialog.

use std::thread;
use std::time::{Duration, Instant};

use super::Messenger;
use crate::intent::{FileIntent, Intent};
use crate::words::Words;

/// Nobody dismisses a dialog sooner: it was never shown. (The dialog itself doesn't tell one from the other.)
const SOONEST_REFUSAL: Duration = Duration::from_millis(250);

/// Puts up the platform's file dialog and sends home what was chosen.
pub(super) fn ask_for_file(messenger: Messenger, words: Words) {
    let failed = messenger.clone();
    let asking = thread::Builder::new().name("file dialog".to_owned()).spawn(move || {
        let asked = Instant::now();
        let chosen = rfd::FileDialog::new()
            .set_title(words.text("dialog-open"))
            .add_filter(words.text("dialog-scores"), &["musicxml", "xml", "mxl", "mid", "midi", "abc"])
            .add_filter(words.text("dialog-all-files"), &["*"])
            .pick_file();
        let was_shown = chosen.is_some() || asked.elapsed() >= SOONEST_REFUSAL;
        messenger.send(FileIntent::Chosen(chosen).into());
        if !was_shown {
            messenger.send(Intent::Trouble(words.text("dialog-none")));
        }
    });
    if asking.is_err() {
        failed.send(FileIntent::Chosen(None).into());
        failed.send(Intent::Trouble(words.text("dialog-none")));
    }
}
