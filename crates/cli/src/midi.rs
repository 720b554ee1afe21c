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

use clap::Args;
use leverlane_core::plan::EndOfPiece;
use leverlane_formats::{MidiSource, files, write_midi};
use serde::Serialize;

use crate::export::{ExportChoice, Exported};
use crate::notes::warning_answer;
use crate::output::Output;
use crate::refusal::Refusal;

/// The arguments of `midi`.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    export: ExportChoice,
}

#[derive(Debug, Serialize)]
struct Counts {
    flips: usize,
}

/// Plans the piece and writes it.
///
/// # Errors
/// As [`ExportChoice::file`] and of planning; a piece too long for a MIDI file, a file that can't be written.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let export = &arguments.export;
    let file = export.file()?;
    let planned = export.piece.planned(EndOfPiece::Stop)?;
    let source = MidiSource {
        score: &planned.score,
        order: &planned.order,
        hands: &planned.hands,
        plan: Some(&planned.plan),
        tempo: Some(&planned.tempo),
    };
    let written = write_midi(&source).map_err(|error| Refusal::of_file(&file, error))?;
    files::save(&export.output, &written.bytes)?;
    let flips = planned.plan.gestures.iter().map(|gesture| gesture.flips.len()).sum();
    let exported = Exported {
        file,
        bytes: written.bytes.len(),
        counts: Counts { flips },
        warnings: planned.warnings.iter().chain(&written.warnings).map(warning_answer).collect(),
    };
    export.tell(&exported, &format!("{flips} flips as text"), &planned.score, output)
}
