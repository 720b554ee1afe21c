//! `lesson make FILE -o OUT.ron`.
//!
//! The JSON: `{"file","title","chunks":[{"flip","start","goal"}]}`, tempos in the goal's beats a minute.

use std::path::PathBuf;

use clap::Args;
use leverlane_core::drill::{ChunkSize, LadderPlan, Layer, RungStep, Scheme};
use leverlane_core::plan::EndOfPiece;
use leverlane_core::time::Tempo;
use leverlane_formats::documents::{Lesson, LessonChunk, Piece};
use leverlane_formats::files;
use serde::Serialize;

use crate::output::Output;
use crate::piece::{Keep, document_of};
use crate::plan::words;
use crate::planned::{PlanChoice, Planned};
use crate::refusal::Refusal;

/// The arguments of `lesson make`.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    choice: PlanChoice,
    /// The lesson file to write; one of that name is replaced and kept beside it.
    #[arg(short, long = "output", value_name = "OUT.ron")]
    output: PathBuf,
    /// What the lesson is called. [default: the piece's title]
    #[arg(long)]
    title: Option<String>,
    /// What you want to say to it.
    #[arg(long, default_value = "")]
    note: String,
    /// A flip to practise, by its number from 1 as `plan` lists them; may be given several times. [default: all]
    #[arg(long = "flip", value_name = "NUMBER")]
    flips: Vec<usize>,
    /// Where the ladders begin, as a share of the goal in per cent.
    #[arg(long, value_name = "PER CENT", default_value_t = 60, value_parser = clap::value_parser!(u8).range(10..=100))]
    start: u8,
    /// From rung to rung, in beats a minute.
    #[arg(long, value_name = "BEATS", default_value_t = 4.0)]
    step: f64,
    /// Clean passes in a row that lead a rung up.
    #[arg(long, value_name = "PASSES", default_value_t = 3)]
    clean: u8,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct Answer {
    file: String,
    title: String,
    chunks: Vec<ChunkAnswer>,
}

#[derive(Debug, Serialize)]
struct ChunkAnswer {
    flip: String,
    start: f64,
    goal: f64,
}

/// Plans the piece and writes the lesson.
///
/// # Errors
/// As [`PlanChoice::planned`]; flips that the plan doesn't have, a ladder that can't be, a file that can't be written.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let file = files::shown(&arguments.output);
    arguments.choice.score.keep_from(&arguments.output)?;
    let planned = arguments.choice.planned(EndOfPiece::Stop)?;
    let title = arguments.title.clone().unwrap_or_else(|| title_of(arguments, &planned));
    let ladder = ladder(arguments, &planned)?;
    let mut chunks = Vec::new();
    let mut told = Vec::new();
    for index in wanted(arguments, &planned)? {
        let gesture = &planned.plan.gestures[index];
        let Some(flip) = gesture.flips.first() else { continue };
        chunks.push(LessonChunk {
            flip: flip.name(&planned.performance),
            size: ChunkSize::default(),
            layer: Layer::Both,
            ladder,
        });
        let flip = format!("{}: {}", words::moment(&planned, gesture.at), words::movement(&planned, flip));
        told.push(ChunkAnswer { flip, start: ladder.start().per_minute(), goal: ladder.goal().per_minute() });
    }
    let lesson = Lesson { title, note: arguments.note.clone(), piece: piece(arguments, &planned)?, chunks };
    let bytes = lesson.write().map_err(|error| Refusal::of_file(&file, error))?;
    files::save(&arguments.output, &bytes)?;
    let answer = Answer { file, title: lesson.title, chunks: told };
    if arguments.json {
        return output.json(&answer);
    }
    output.line(format!("{}: \"{}\"", answer.file, answer.title))?;
    for chunk in &answer.chunks {
        output.line(format!("  {}, from {} to {} a minute", chunk.flip, chunk.start, chunk.goal))?;
    }
    Ok(())
}

fn title_of(arguments: &Arguments, planned: &Planned) -> String {
    let title = planned.score.title().trim();
    if title.is_empty() { arguments.choice.score.name() } else { title.to_owned() }
}

fn ladder(arguments: &Arguments, planned: &Planned) -> Result<LadderPlan, Refusal> {
    let goal = planned.tempo.opening();
    let start = (goal.per_minute() * f64::from(arguments.start) / 100.0).round();
    let refused = |error: &dyn std::fmt::Display| Refusal::wrong_usage(format!("the ladder: {error}"));
    let start = Tempo::beats(goal.beat(), start.min(goal.per_minute())).map_err(|error| refused(&error))?;
    let step = RungStep::Beats(arguments.step);
    LadderPlan::new(start, goal, goal, step, arguments.clean, Scheme::Climb).map_err(|error| refused(&error))
}

/// The chosen gestures by their place in the plan.
fn wanted(arguments: &Arguments, planned: &Planned) -> Result<Vec<usize>, Refusal> {
    let count = planned.plan.gestures.len();
    if arguments.flips.is_empty() {
        return Ok((0..count).collect());
    }
    let place = |&number: &usize| {
        number.checked_sub(1).filter(|&place| place < count).ok_or_else(|| {
            let reason = format!("there is no flip {number}, expected 1 to {count}; choose one that `plan` lists");
            Refusal::of_file(&arguments.choice.score.file(), reason)
        })
    };
    arguments.flips.iter().map(place).collect()
}

fn piece(arguments: &Arguments, planned: &Planned) -> Result<Piece, Refusal> {
    let piece = document_of(&arguments.choice, Keep::Inside)?;
    Ok(Piece { title: title_of(arguments, planned), tempo: Some(planned.tempo.opening()), ..piece })
}
