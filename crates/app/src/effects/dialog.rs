//! The file dialogs.

use leverlane_formats::Said;
use std::path::PathBuf;
use std::thread;
use std::time::{Duration, Instant};

use super::Messenger;
use crate::intent::{FileIntent, Intent};
use crate::words::Words;

/// Nobody dismisses a dialog sooner: it was never shown. (The dialog itself doesn't tell one from the other.)
const SOONEST_REFUSAL: Duration = Duration::from_millis(250);

/// Asks for a file to open.
pub(super) fn ask_for_file(messenger: Messenger, words: Words) {
    let dialog = rfd::FileDialog::new()
        .set_title(words.text("dialog-open"))
        .add_filter(words.text("dialog-scores"), &["musicxml", "xml", "mxl", "mid", "midi", "abc", "ron"])
        .add_filter(words.text("dialog-all-files"), &["*"]);
    ask(messenger, words, || dialog.pick_file(), |chosen| FileIntent::Chosen(chosen).into());
}

/// Asks where to save the piece.
pub(super) fn ask_where_to_save(messenger: Messenger, words: Words, name: &str) {
    let dialog = rfd::FileDialog::new()
        .set_title(words.text("dialog-save"))
        .set_file_name(name)
        .add_filter(words.text("dialog-pieces"), &["ron"]);
    ask(messenger, words, || dialog.save_file(), |chosen| FileIntent::SaveTo(chosen.map(with_ending)).into());
}

/// Asks where to save the harp.
pub(super) fn ask_where_to_save_harp(messenger: Messenger, words: Words) {
    let dialog = rfd::FileDialog::new()
        .set_title(words.text("dialog-save-harp"))
        .set_file_name(format!("{}.ron", words.text("place-harp")))
        .add_filter(words.text("dialog-harps"), &["ron"]);
    ask(messenger, words, || dialog.save_file(), |chosen| FileIntent::SaveHarpTo(chosen.map(with_ending)).into());
}

/// A name without an ending gets ours.
fn with_ending(path: PathBuf) -> PathBuf {
    if path.extension().is_some() { path } else { path.with_extension("ron") }
}

fn ask(
    messenger: Messenger,
    words: Words,
    dialog: impl FnOnce() -> Option<PathBuf> + Send + 'static,
    answer: impl Fn(Option<PathBuf>) -> Intent + Send + Clone + 'static,
) {
    let (failed, refuse) = (messenger.clone(), answer.clone());
    let asking = thread::Builder::new().name("file dialog".to_owned()).spawn(move || {
        let asked = Instant::now();
        let chosen = dialog();
        let was_shown = chosen.is_some() || asked.elapsed() >= SOONEST_REFUSAL;
        messenger.send(answer(chosen));
        if !was_shown {
            messenger.send(Intent::Trouble(Said::quoted(words.text("dialog-none"))));
        }
    });
    if asking.is_err() {
        failed.send(refuse(None));
        failed.send(Intent::Trouble(Said::quoted(words.text("dialog-none"))));
    }
}
