//! `sheet FILE -o OUT.pdf`: the marked part to print: A4, the levers to set before the start, and the music with its
//! flips.
//!
//! The JSON:
//!
//! ```text
//! {"file","bytes","pages","flips","warnings":[{"bar","reason"}]}
//! ```

use clap::Args;
use leverlane_core::plan::{EndOfPiece, StartList, flip_marks};
use leverlane_engraving::sheet::{Sheet, print};
use leverlane_engraving::{Music, MusicFonts};
use leverlane_formats::files;
use serde::Serialize;

use crate::export::{ExportChoice, Exported};
use crate::notes::warning_answer;
use crate::output::Output;
use crate::planned::Planned;
use crate::refusal::Refusal;

/// The arguments of `sheet`.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    export: ExportChoice,
}

#[derive(Debug, Serialize)]
struct Counts {
    pages: usize,
    flips: usize,
}

/// Plans the piece and prints it.
///
/// # Errors
/// As [`ExportChoice::file`] and of planning; music that can't be engraved, a file that can't be written.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let export = &arguments.export;
    let file = export.file()?;
    let planned = export.piece.planned(EndOfPiece::Stop)?;
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
    let engraved = |error| Refusal::of_file(&export.piece.score.file(), error);
    let printed = print(&sheet, MusicFonts::temporary().map_err(engraved)?).map_err(engraved)?;
    files::save(&export.output, &printed.pdf)?;
    let exported = Exported {
        file,
        bytes: printed.pdf.len(),
        counts: Counts { pages: printed.pages, flips },
        warnings: planned.warnings.iter().map(warning_answer).collect(),
    };
    let pages = if printed.pages == 1 { "1 page".to_owned() } else { format!("{} pages", printed.pages) };
    export.tell(&exported, &format!("{pages}, {flips} flips marked"), &planned.score, output)
}

/// The harp and the tempo that the flips were planned for.
fn about(planned: &Planned) -> String {
    let tempo = planned.tempo.opening().quarters_per_minute();
    format!("{}; planned for {tempo:.0} quarter notes a minute", planned.harp.name())
}
