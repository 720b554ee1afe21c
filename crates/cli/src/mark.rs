//! `mark FILE -o OUT`: the player's own MusicXML with the flips and the start setting in it.
//!
//! The JSON:
//!
//! ```text
//! {"file","bytes","marks","warnings":[{"bar","reason"}]}
//! ```
//!
//! `marks` counts the flips as they are written, one for all times through a bar on which it is the same.

use std::path::{Path, PathBuf};

use clap::Args;
use leverlane_core::plan::{EndOfPiece, StartList, flip_marks};
use leverlane_formats::{Limits, Marking, SourceKind, files, mark_score};
use serde::Serialize;

use crate::notes::{WarningAnswer, warning_answer};
use crate::output::Output;
use crate::planned::PlanChoice;
use crate::refusal::Refusal;

/// The arguments of `mark`.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    choice: PlanChoice,
    /// The marked score to write: .musicxml or .xml, .mxl where the score is one; a file of that name is replaced and
    /// kept beside it.
    #[arg(short, long = "output", value_name = "OUT")]
    output: PathBuf,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct Answer<'a> {
    file: String,
    bytes: usize,
    marks: usize,
    warnings: Vec<WarningAnswer<'a>>,
}

/// Plans the piece and writes the marked score.
///
/// # Errors
/// As [`PlanChoice::planned`]; an output of another kind than the score, a file that can't be written.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let file = files::shown(&arguments.output);
    arguments.choice.score.keep_from(&arguments.output)?;
    let limits = Limits::USUAL;
    let bytes = arguments.choice.score.bytes()?;
    fits_kind(&arguments.output, &bytes)?;
    let planned = arguments.choice.planned(EndOfPiece::Stop)?;
    let marks = flip_marks(&planned.plan, &planned.performance, &planned.harp);
    let start = StartList::of(&planned.plan, &planned.harp);
    let marking = Marking { score: &planned.score, hands: &planned.hands, marks: &marks, start: &start };
    let marked = mark_score(&bytes, &marking, &limits)
        .map_err(|error| Refusal::of_file(&arguments.choice.score.file(), error))?;
    files::save(&arguments.output, &marked.bytes)?;
    let answer = Answer {
        file,
        bytes: marked.bytes.len(),
        marks: marks.len(),
        warnings: planned.warnings.iter().chain(&marked.warnings).map(warning_answer).collect(),
    };
    if arguments.json {
        return output.json(&answer);
    }
    output.line(format!("{}: {} bytes, {} flips marked; {start}", answer.file, answer.bytes, answer.marks))?;
    for warning in &answer.warnings {
        let bar = warning.bar.and_then(|bar| planned.score.bars().get(bar));
        match bar {
            Some(bar) => output.line(format!("warning: bar {}: {}", bar.number, warning.reason))?,
            None => output.line(format!("warning: {}", warning.reason))?,
        }
    }
    Ok(())
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
