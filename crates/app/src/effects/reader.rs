//! Reading pieces, harps, and pieces as they were saved.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread;

use leverlane_core::score::HandRule;
use leverlane_formats::abc::Tunebook;
use leverlane_formats::documents::{
    self, DrillSettings, HarpDocument, Lesson, MOST_BYTES, Results, Source, is_document,
};
use leverlane_formats::{Limits, Said, SourceKind, files, import as import_score, import_tune as import_one, said};

use super::Messenger;
use crate::demo;
use crate::intent::FileIntent;
use crate::state::{Origin, Piece, Tunes, Wishes};
use crate::words::Words;

/// What a file held.
#[derive(Clone, Debug, PartialEq)]
pub enum Opened {
    /// A piece: a score, or a document with everything decided about it.
    Piece {
        /// The piece.
        piece: Box<Piece>,
        /// What was kept beside its notes.
        kept: Box<Kept>,
    },
    /// A harp.
    Harp(HarpDocument),
    /// What a student sends back.
    Results(Results),
    /// Several tunes, none of which was read yet.
    Tunes(Tunes),
}

/// What a document keeps beside the notes of its piece.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Kept {
    /// What the player had decided; none for a mere score.
    pub wishes: Option<Wishes>,
    /// How it was practised.
    pub drill: DrillSettings,
    /// The document, if it is in a file of the player's.
    pub path: Option<PathBuf>,
    /// Whether all of it is in some file of the player's.
    pub is_safe: bool,
    /// The recovery file from which it was taken up, which goes once the piece is kept anew.
    pub left_behind: Option<PathBuf>,
}

pub(super) fn read(messenger: Messenger, job: u64, origin: Origin) {
    on_a_thread(messenger, job, move || match &origin {
        Origin::Demo => read_bytes(origin, demo::PIECE),
        Origin::File(path) => {
            let limit = Limits::USUAL.bytes.max(MOST_BYTES);
            let bytes = files::read(path, limit).map_err(|error| error.said())?;
            read_bytes(origin, &bytes)
        }
        Origin::Dropped(name) => Err(said!("{name}: found no bytes; drop the file again or open it by its name", name)),
    });
}

pub(super) fn import(messenger: Messenger, job: u64, origin: Origin, bytes: Arc<[u8]>) {
    on_a_thread(messenger, job, move || read_bytes(origin, &bytes));
}

pub(super) fn import_tune(messenger: Messenger, job: u64, tunes: Tunes, tune: usize) {
    on_a_thread(messenger, job, move || read_tune(&tunes, tune));
}

/// Takes up a piece that a run before left behind.
pub(super) fn take_up(messenger: Messenger, job: u64, file: PathBuf) {
    on_a_thread(messenger, job, move || {
        let bytes = files::read(&file, MOST_BYTES).map_err(|error| error.said())?;
        let document = documents::Piece::read(&bytes).map_err(|error| of_file(&files::shown(&file), error.said()))?;
        let folder = file.parent().map_or_else(PathBuf::new, Path::to_owned);
        let (piece, kept) = of_document(document, None, &folder)?;
        Ok(Opened::Piece {
            piece: Box::new(piece),
            kept: Box::new(Kept { left_behind: Some(file), is_safe: false, ..kept }),
        })
    });
}

pub(super) fn open_draft(messenger: Messenger, job: u64, document: Box<documents::Piece>) {
    on_a_thread(messenger, job, move || read_draft(*document));
}

/// What was written down from paper as a piece that is in no file yet.
///
/// # Errors
/// One line: what can't be understood.
pub fn read_draft(document: documents::Piece) -> Result<Opened, Said> {
    let (piece, kept) = of_document(document, None, Path::new(""))?;
    Ok(Opened::Piece { piece: Box::new(piece), kept: Box::new(kept) })
}

fn on_a_thread(messenger: Messenger, job: u64, work: impl FnOnce() -> Result<Opened, Said> + Send + 'static) {
    let failed = messenger.clone();
    let reading = thread::Builder::new()
        .name("reader".to_owned())
        .spawn(move || messenger.send(FileIntent::Opened { job, result: work().map(Arc::new) }.into()));
    if let Err(error) = reading {
        let result = Err(said!(
            "reading could not be started ({error}); close other programs and try again",
            error = error.to_string()
        ));
        failed.send(FileIntent::Opened { job, result }.into());
    }
}

/// What these bytes hold: a score of any kind, a piece document, a lesson, or a harp.
///
/// # Errors
/// One line: which file, where in it, what is wrong, what to do.
pub fn read_bytes(origin: Origin, bytes: &[u8]) -> Result<Opened, Said> {
    let name = origin.name(Words::default());
    if begins_as(bytes, "lesson") {
        return read_lesson(origin, bytes);
    }
    if begins_as(bytes, "results") {
        let results = Results::read(bytes, &Limits::USUAL);
        return results.map(Opened::Results).map_err(|error| of_file(&name, error.said()));
    }
    if is_document(bytes) {
        return match HarpDocument::read(bytes) {
            Ok(harp) => Ok(Opened::Harp(harp)),
            Err(documents::DocumentError::OtherKind(_)) => {
                let document = documents::Piece::read(bytes).map_err(|error| of_file(&name, error.said()))?;
                let path = origin.path();
                let folder = path.as_deref().and_then(Path::parent).map_or_else(PathBuf::new, Path::to_owned);
                let (piece, kept) = of_document(document, path, &folder)?;
                Ok(Opened::Piece { piece: Box::new(piece), kept: Box::new(kept) })
            }
            Err(error) => Err(of_file(&name, error.said())),
        };
    }
    if SourceKind::of(bytes) == Some(SourceKind::Abc)
        && let Some(tunes) = several_tunes(&name, bytes)
    {
        return Ok(Opened::Tunes(tunes));
    }
    let piece = read_piece(origin, bytes)?;
    Ok(Opened::Piece { piece: Box::new(piece), kept: Box::new(Kept { is_safe: true, ..Kept::default() }) })
}

fn several_tunes(name: &str, bytes: &[u8]) -> Option<Tunes> {
    let book = Tunebook::open(bytes, &Limits::USUAL).ok()?;
    if book.tunes().len() < 2 {
        return None;
    }
    let tunes = book.tunes().map(|tune| (format!("{} {}", tune.reference, tune.title), tune.bytes.clone())).collect();
    Some(Tunes { name: name.to_owned(), bytes: bytes.into(), tunes })
}

/// One tune of a file of many, as a piece.
///
/// # Errors
/// One line: which file, where in it, what is wrong, what to do.
pub fn read_tune(tunes: &Tunes, tune: usize) -> Result<Opened, Said> {
    let refused = |error: leverlane_formats::ImportError| of_file(&tunes.name, error.said());
    let imported = import_one(&tunes.bytes, tune, &Limits::USUAL).map_err(refused)?;
    let source = Source::Inside { name: tunes.name.clone(), bytes: tunes.bytes.to_vec(), tune };
    let piece = Piece::new(Origin::Dropped(tunes.name.clone()), source, imported.into(), &HandRule::Usual);
    Ok(Opened::Piece { piece: Box::new(piece), kept: Box::new(Kept { is_safe: true, ..Kept::default() }) })
}

/// A piece and what was decided about it, from its document.
///
/// # Errors
/// One line: music that can't be had or read.
pub fn of_document(document: documents::Piece, path: Option<PathBuf>, folder: &Path) -> Result<(Piece, Kept), Said> {
    let music = document.open(folder, &Limits::USUAL).map_err(|error| error.said())?;
    let origin = match &document.source {
        Source::Inside { bytes, .. } if bytes == demo::PIECE => Origin::Demo,
        Source::Inside { name, .. } => Origin::Dropped(name.clone()),
        Source::File { path, .. } => Origin::File(folder.join(path)),
        Source::Passage { .. } | Source::Typed { .. } => Origin::Dropped(document.title.clone()),
    };
    let piece = Piece::new(origin, document.source, music, &document.hands);
    let wishes = Wishes {
        harp: document.harp,
        pace: document.pace,
        goal: document.tempo,
        hands: document.hands,
        cue_line: document.cue_line,
        edits: document.edits,
        rewrites: document.rewrites,
    };
    let is_safe = path.is_some();
    Ok((piece, Kept { wishes: Some(wishes), drill: document.drill, path, is_safe, left_behind: None }))
}

/// A piece from the bytes of its score.
///
/// # Errors
/// One line: which piece, where in it, what is wrong, what to do.
pub fn read_piece(origin: Origin, bytes: &[u8]) -> Result<Piece, Said> {
    // The demo opened as a file is the demo all the same, so that it finds its own harp.
    let origin = if bytes == demo::PIECE { Origin::Demo } else { origin };
    let name = origin.name(Words::default());
    match import_score(bytes, &Limits::USUAL) {
        Ok(imported) => {
            let source = Source::Inside { name, bytes: bytes.to_vec(), tune: 0 };
            Ok(Piece::new(origin, source, imported.into(), &HandRule::Usual))
        }
        Err(error) => Err(of_file(&name, error.said())),
    }
}

/// A lesson's piece, with what its teacher has decided about it. The lesson's own file keeps all of it.
fn read_lesson(origin: Origin, bytes: &[u8]) -> Result<Opened, Said> {
    let lesson =
        Lesson::read(bytes, &Limits::USUAL).map_err(|error| of_file(&origin.name(Words::default()), error.said()))?;
    let folder = origin.path().as_deref().and_then(Path::parent).map_or_else(PathBuf::new, Path::to_owned);
    let (piece, kept) = of_document(lesson.piece.clone(), None, &folder)?;
    let piece = Piece { origin, ..piece }.in_lesson(Arc::new(lesson));
    Ok(Opened::Piece { piece: Box::new(piece), kept: Box::new(Kept { is_safe: true, ..kept }) })
}

/// What is wrong, with the file it is wrong in.
fn of_file(name: &str, what: Said) -> Said {
    said!("{name}: {what}", name, what)
}

/// Whether the bytes begin as a document of this kind does.
fn begins_as(bytes: &[u8], kind: &str) -> bool {
    const HEAD: usize = 4_096;
    let head = String::from_utf8_lossy(bytes.get(..HEAD).unwrap_or(bytes));
    let text = head.trim_start_matches('\u{feff}').lines().map(str::trim).filter(|line| !line.starts_with("//"));
    let text: String = text.flat_map(str::chars).filter(|sign| !sign.is_whitespace()).collect();
    text.starts_with(&format!("(document:{kind},"))
}
