//! The one way in for scores of every kind.

use leverlane_core::score::{PlayingOrder, Score};

use crate::musicxml::{self, Warnings};
use crate::{Detail, ImportError, Limits, Said, Warning, abc, midi, mxl, said};

/// A score as read, with everything that was read differently from how it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Imported {
    /// The written music.
    pub score: Score,
    /// The order in which its bars are played.
    pub order: PlayingOrder,
    /// What was left out, guessed or bent; by bar.
    pub warnings: Vec<Warning>,
}

/// The kinds of file that can hold a score.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SourceKind {
    /// MusicXML as text (.musicxml, .xml).
    MusicXml,
    /// MusicXML in its archive (.mxl).
    CompressedMusicXml,
    /// A standard MIDI file (.mid, .midi).
    Midi,
    /// ABC notation (.abc).
    Abc,
}

impl SourceKind {
    /// The kind that the first bytes show: an archive, a MIDI header, text that begins with a tag (in one- or two-byte
    /// units), or text with a line that begins `X:` or `K:`. None for anything else.
    pub fn of(bytes: &[u8]) -> Option<SourceKind> {
        if bytes.starts_with(b"PK\x03\x04") {
            return Some(SourceKind::CompressedMusicXml);
        }
        if bytes.starts_with(b"MThd") {
            return Some(SourceKind::Midi);
        }
        if begins_tag(bytes) {
            return Some(SourceKind::MusicXml);
        }
        let begins_tune = |line: &[u8]| line.starts_with(b"X:") || line.starts_with(b"K:");
        let text = bytes.strip_prefix(UTF_8_MARK).unwrap_or(bytes);
        text.split(|&byte| byte == b'\n' || byte == b'\r').any(begins_tune).then_some(SourceKind::Abc)
    }
}

/// The byte order mark in UTF-8.
const UTF_8_MARK: &[u8] = &[0xEF, 0xBB, 0xBF];

/// Whether the first sign that is no space is a `<`, byte order marks and the zeros of two-byte units aside.
fn begins_tag(bytes: &[u8]) -> bool {
    let text = [UTF_8_MARK, &[0xFF, 0xFE], &[0xFE, 0xFF]].into_iter().find_map(|mark| bytes.strip_prefix(mark));
    let blank = |byte: &u8| *byte == 0 || byte.is_ascii_whitespace();
    text.unwrap_or(bytes).iter().find(|byte| !blank(byte)) == Some(&b'<')
}

/// Reads a score of any kind we know.
///
/// # Errors
/// One line that says what is wrong, where, and what to do.
pub fn import(bytes: &[u8], limits: &Limits) -> Result<Imported, ImportError> {
    if bytes.len() > limits.bytes {
        return Err(ImportError::LimitReached(Detail {
            place: Said::default(),
            found: said!("a file of {bytes} bytes", bytes = bytes.len()),
            expected: said!("at most {most}", most = limits.bytes),
            remedy: said!("choose a score, or split the piece into smaller files"),
        }));
    }
    let mut warnings = Warnings::default();
    match SourceKind::of(bytes) {
        Some(SourceKind::MusicXml) => musicxml::read(bytes, limits, warnings),
        Some(SourceKind::CompressedMusicXml) => {
            let unpacked = mxl::unpack(bytes, limits, &mut warnings)?;
            musicxml::read(&unpacked, limits, warnings)
        }
        Some(SourceKind::Midi) => midi::read_midi(bytes, limits),
        Some(SourceKind::Abc) => abc::read(bytes, limits),
        None => Err(unknown_kind(bytes)),
    }
}

/// Reads one tune of a file of ABC, by its place from 0, or the only music of any other file.
///
/// # Errors
/// As [`import`]; a tune that the file doesn't have.
pub fn import_tune(bytes: &[u8], tune: usize, limits: &Limits) -> Result<Imported, ImportError> {
    match SourceKind::of(bytes) {
        Some(SourceKind::Abc) if bytes.len() <= limits.bytes => abc::Tunebook::open(bytes, limits)?.read(tune),
        _ if tune == 0 => import(bytes, limits),
        _ => Err(ImportError::NothingToPlay(Detail {
            place: Said::default(),
            found: said!("a file with one piece of music"),
            expected: said!("a tune at place {tune}", tune = tune + 1),
            remedy: said!("only files of ABC hold several tunes: leave the tune out"),
        })),
    }
}

fn unknown_kind(bytes: &[u8]) -> ImportError {
    let found = if bytes.is_empty() { said!("an empty file") } else { said!("a file of no kind that is known here") };
    ImportError::Unsupported(Detail {
        place: Said::default(),
        found: found.to_owned(),
        expected: said!("MusicXML (.musicxml, .xml, .mxl), MIDI (.mid) or ABC (.abc)"),
        remedy: said!("export the piece as MusicXML from the program it was written in"),
    })
}
