//! `midi FILE -o OUT.mid`: the piece as a MIDI file, as it is played: one track for each hand and every other part, the
//! flips as text events at their beats (`C5 up, left hand`).
//!
//! The JSON:
//!
//! ```text
//! {"file","bytes","flips","warnings":[{"bar","reason"}]}
//! ```
//!
//! `flips` counts the text events; the warnings are of reading and of writing, as in `notes`.

use std::path::PathBuf;

use clap::Args;
use leverlane_core::plan::EndOfPiece;
use leverlane_formats::{MidiSource, files, write_midi};
use serde::Serialize;

use crate::notes::{WarningAnswer, warning_answer};
use crate::output::Output;
use crate::planned::PlanChoice;
use crate::refusal::Refusal;

/// The arguments of `midi`.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    choice: PlanChoice,
    /// The MIDI file to write; one of that name is replaced and kept beside it.
    #[arg(short, long = "output", value_name = "OUT.mid")]
    output: PathBuf,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct Answer<'a> {
    file: String,
    bytes: usize,
    flips: usize,
    warnings: Vec<WarningAnswer<'a>>,
}

/// Plans the piece and writes it.
///
/// # Errors
/// As [`PlanChoice::planned`]; a piece too long for a MIDI file, a file that can't be written.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let file = files::shown(&arguments.output);
    arguments.choice.score.keep_from(&arguments.output)?;
    let planned = arguments.choice.planned(EndOfPiece::Stop)?;
    let source = MidiSource {
        score: &planned.score,
        order: &planned.order,
        hands: &planned.hands,
        plan: Some(&planned.plan),
        tempo: Some(&planned.tempo),
    };
    let written = write_midi(&source).map_err(|error| Refusal::of_file(&file, error))?;
    files::save(&arguments.output, &written.bytes)?;
    let answer = Answer {
        file,
        bytes: written.bytes.len(),
        flips: planned.plan.gestures.iter().map(|gesture| gesture.flips.len()).sum(),
        warnings: planned.warnings.iter().chain(&written.warnings).map(warning_answer).collect(),
    };
    if arguments.json {
        return output.json(&answer);
    }
    output.line(format!("{}: {} bytes, {} flips as text", answer.file, answer.bytes, answer.flips))?;
    for warning in &answer.warnings {
        let bar = warning.bar.and_then(|bar| planned.score.bars().get(bar));
        match bar {
            Some(bar) => output.line(format!("warning: bar {}: {}", bar.number, warning.reason))?,
            None => output.line(format!("warning: {}", warning.reason))?,
        }
    }
    Ok(())
}
