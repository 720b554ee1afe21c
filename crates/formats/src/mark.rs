//! Lever marks in a score's file, whichever way the file holds it.

use crate::musicxml::{self, MarkedFile, Marking, MusicXmlSource, OtherParts, Warnings, write_musicxml};
use crate::{ImportError, Limits, SourceKind, mxl};

/// Puts lever marks and the list of set levers into a score's file.
///
/// MusicXML keeps every byte of its own, inside its archive too; [`unmark_score`] gives the score back as it was. Files
/// of other kinds have no place for marks: the score is written as MusicXML instead.
///
/// # Errors
/// As reading the file; an encoding that can't be written back.
pub fn mark_score(bytes: &[u8], marking: &Marking<'_>, limits: &Limits) -> Result<MarkedFile, ImportError> {
    match SourceKind::of(bytes) {
        Some(SourceKind::MusicXml) => musicxml::mark(bytes, marking, limits),
        Some(SourceKind::CompressedMusicXml) => {
            let score = mxl::unpack(bytes, limits, &mut Warnings::default())?;
            let marked = musicxml::mark(&score, marking, limits)?;
            Ok(MarkedFile { bytes: mxl::repack(bytes, &marked.bytes)?, warnings: marked.warnings })
        }
        _ => {
            let source = MusicXmlSource {
                score: marking.score,
                hands: marking.hands,
                bars: 0..marking.score.bars().len(),
                marks: marking.marks,
                start: Some(marking.start),
                cues: &[],
                others: OtherParts::Kept,
            };
            let written = write_musicxml(&source);
            Ok(MarkedFile { bytes: written.text.into_bytes(), warnings: written.warnings })
        }
    }
}

/// Takes the marks of [`mark_score`] out of a MusicXML file or its archive again; other files are given back as they are.
///
/// # Errors
/// Bytes that are no text or no archive, or an encoding that can't be written back.
pub fn unmark_score(bytes: &[u8], limits: &Limits) -> Result<Vec<u8>, ImportError> {
    match SourceKind::of(bytes) {
        Some(SourceKind::MusicXml) => musicxml::unmark(bytes),
        Some(SourceKind::CompressedMusicXml) => {
            let score = mxl::unpack(bytes, limits, &mut Warnings::default())?;
            mxl::repack(bytes, &musicxml::unmark(&score)?)
        }
        _ => Ok(bytes.to_vec()),
    }
}
