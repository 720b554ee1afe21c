//! `sheet FILE -o OUT.pdf`: the marked part to print: A4, the levers to set before the start, and the music with its
//! flips.
//!
//! The JSON:
//!
//! ```text
//! {"file","bytes","pages","flips","warnings":[{"bar","reason"}]}
//! ```

use std::path::PathBuf;

use clap::Args;
use leverlane_core::plan::{EndOfPiece, StartList, flip_marks};
use leverlane_engraving::sheet::{Sheet, print};
use leverlane_engraving::{Music, MusicFonts};
use leverlane_formats::files;
use serde::Serialize;

use crate::notes::{WarningAnswer, warning_answer};
use crate::output::Output;
use crate::planned::{PlanChoice, Planned};
use crate::refusal::Refusal;

/// The arguments of `sheet`.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    choice: PlanChoice,
    /// The PDF file to write; one of that name is replaced and kept beside it.
    #[arg(short, long = "output", value_name = "OUT.pdf")]
    output: PathBuf,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct Answer<'a> {
    file: String,
    bytes: usize,
    pages: usize,
    flips: usize,
    warnings: Vec<WarningAnswer<'a>>,
}

/// Plans the piece and prints it.
///
/// # Errors
/// As [`PlanChoice::planned`]; music that can't be engraved, a file that can't be written.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let file = files::shown(&arguments.output);
    arguments.choice.score.keep_from(&arguments.output)?;
    let planned = arguments.choice.planned(EndOfPiece::Stop)?;
    let marks = flip_marks(&planned.plan, &planned.performance, &planned.harp);
    let flips = marks.len();
    let music = Music {
        score: planned.score.clone(),
        hands: planned.hands.clone(),
        cues: planned.cues.clone(),
        bars: 0..planned.score.bars().len(),
        marks,
        start: None,
    };
    let sheet = Sheet { music, start: StartList::of(&planned.plan, &planned.harp), about: vec![about(&planned)] };
    let engraved = |error| Refusal::of_file(&arguments.choice.score.file(), error);
    let printed = print(&sheet, MusicFonts::temporary().map_err(engraved)?).map_err(engraved)?;
    files::save(&arguments.output, &printed.pdf)?;
    let warnings = planned.warnings.iter().map(warning_answer).collect();
    let answer = Answer { file, bytes: printed.pdf.len(), pages: printed.pages, flips, warnings };
    if arguments.json {
        return output.json(&answer);
    }
    let pages = if answer.pages == 1 { "1 page".to_owned() } else { format!("{} pages", answer.pages) };
    output.line(format!("{}: {pages}, {} flips marked", answer.file, answer.flips))?;
    for warning in &answer.warnings {
        let bar = warning.bar.and_then(|bar| planned.score.bars().get(bar));
        match bar {
            Some(bar) => output.line(format!("warning: bar {}: {}", bar.number, warning.reason))?,
            None => output.line(format!("warning: {}", warning.reason))?,
        }
    }
    Ok(())
}

/// The harp and the tempo that the flips were planned for.
fn about(planned: &Planned) -> String {
    let tempo = planned.tempo.opening().quarters_per_minute();
    format!("{}; planned for {tempo:.0} quarter notes a minute", planned.harp.name())
}
