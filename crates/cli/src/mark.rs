//! `mark FILE -o OUT`: the player's own MusicXML with the flips and the start setting in it.
//!
//! The JSON:
//!
//! ```text
//! {"file","bytes","marks","warnings":[{"bar","reason"}]}
//! ```
//!
//! `marks` counts the flips as they are written, one for all times through a bar on which it is the same.

use std::path::Path;

use clap::Args;
use leverlane_core::plan::{EndOfPiece, StartList, flip_marks};
use leverlane_formats::{Limits, Marking, SourceKind, files, mark_score};
use serde::Serialize;

use crate::export::{ExportChoice, Exported};
use crate::notes::warning_answer;
use crate::output::Output;
use crate::refusal::Refusal;

/// The arguments of `mark`.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    export: ExportChoice,
}

#[derive(Debug, Serialize)]
struct Counts {
    marks: usize,
}

/// Plans the piece and writes the marked score.
///
/// # Errors
/// As [`ExportChoice::file`] and of planning; an output of another kind than the score, a file that can't be written.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let export = &arguments.export;
    let file = export.file()?;
    let limits = Limits::USUAL;
    let bytes = export.piece.score.bytes()?;
    fits_kind(&export.output, &bytes)?;
    let planned = export.piece.planned(EndOfPiece::Stop)?;
    let marks = flip_marks(&planned.plan, &planned.performance, &planned.harp);
    let start = StartList::of(&planned.plan, &planned.harp);
    let marking = Marking { score: &planned.score, hands: &planned.hands, marks: &marks, start: &start };
    let marked =
        mark_score(&bytes, &marking, &limits).map_err(|error| Refusal::of_file(&export.piece.score.file(), error))?;
    files::save(&export.output, &marked.bytes)?;
    let exported = Exported {
        file,
        bytes: marked.bytes.len(),
        counts: Counts { marks: marks.len() },
        warnings: planned.warnings.iter().chain(&marked.warnings).map(warning_answer).collect(),
    };
    let counts = format!("{} flips marked; {start}", marks.len());
    export.tell(&exported, &counts, &planned.score, output)
}

/// An archive stays an archive, and nothing else becomes one: a name that says otherwise would mislead whoever opens it.
fn fits_kind(output: &Path, bytes: &[u8]) -> Result<(), Refusal> {
    let named_archive = output.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("mxl"));
    let is_archive = SourceKind::of(bytes) == Some(SourceKind::CompressedMusicXml);
    let (found, expected) = match (is_archive, named_archive) {
        (true, false) => ("the score is an archive", ".mxl"),
        (false, true) => ("the score is no archive", ".musicxml"),
        _ => return Ok(()),
    };
    let reason = format!("{found}, expected a file to write to that ends in {expected}; give --output such a name");
    Err(Refusal::of_file(&files::shown(output), reason))
}
