//! Reading pieces.

use std::fs::File;
use std::io::Read;
use std::path::Path;
use std::sync::Arc;
use std::thread;

use leverlane_core::score::HandRule;
use leverlane_formats::{Limits, import as import_score};

use super::Messenger;
use crate::demo;
use crate::intent::FileIntent;
use crate::state::{Origin, Piece};
use crate::words::Words;

pub(super) fn read(messenger: Messenger, job: u64, origin: Origin) {
    on_a_thread(messenger, job, move || match &origin {
        Origin::Demo => read_piece(origin, demo::PIECE),
        Origin::File(path) => {
            let bytes = read_file(path, &Limits::USUAL)?;
            read_piece(origin, &bytes)
        }
        Origin::Dropped(name) => Err(format!("{name}: found no bytes; drop the file again or open it by its name")),
    });
}

pub(super) fn import(messenger: Messenger, job: u64, origin: Origin, bytes: Arc<[u8]>) {
    on_a_thread(messenger, job, move || read_piece(origin, &bytes));
}

fn on_a_thread(messenger: Messenger, job: u64, work: impl FnOnce() -> Result<Piece, String> + Send + 'static) {
    let failed = messenger.clone();
    let reading = thread::Builder::new()
        .name("reader".to_owned())
        .spawn(move || messenger.send(FileIntent::Opened { job, result: work().map(Arc::new) }.into()));
    if let Err(error) = reading {
        let result = Err(format!("reading could not be started ({error}); close other programs and try again"));
        failed.send(FileIntent::Opened { job, result }.into());
    }
}

/// A piece from its bytes.
///
/// # Errors
/// One line: which piece, where in it, what is wrong, what to do.
pub fn read_piece(origin: Origin, bytes: &[u8]) -> Result<Piece, String> {
    // The demo opened as a file is the demo all the same, so that it finds its own harp.
    let origin = if bytes == demo::PIECE { Origin::Demo } else { origin };
    match import_score(bytes, &Limits::USUAL) {
        Ok(imported) => Ok(Piece::new(origin, bytes.into(), imported, &HandRule::Usual)),
        Err(error) => Err(format!("{}: {error}", origin.name(Words::default()))),
    }
}

/// A file's bytes, one more than the limit at most, so that the importer can refuse what is too long.
fn read_file(path: &Path, limits: &Limits) -> Result<Vec<u8>, String> {
    let refuse =
        |error: std::io::Error| format!("{}: {error}; check the name and that you may read it", path.display());
    if path.is_dir() {
        return Err(format!("{}: found a folder, expected a file; open one of the files in it", path.display()));
    }
    let file = File::open(path).map_err(refuse)?;
    let mut bytes = Vec::new();
    let most = u64::try_from(limits.bytes).unwrap_or(u64::MAX).saturating_add(1);
    file.take(most).read_to_end(&mut bytes).map_err(refuse)?;
    Ok(bytes)
}
