//! `plan FILE`: which levers to set before the start, and every flip in order.

mod json;
mod table;
mod text;
mod words;

use clap::Args;
use leverlane_core::harp::Harp;
use leverlane_core::plan::{self, EndOfPiece, HandPace, PaceLevel, Plan, Request};
use leverlane_core::score::{Hands, Performance, Score};
use leverlane_core::time::{Tempo, TempoMap};

use crate::harp_choice::HarpChoice;
use crate::output::Output;
use crate::refusal::Refusal;
use crate::score_choice::{HandsChoice, ScoreChoice};

/// The arguments of `plan`.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    score: ScoreChoice,
    #[command(flatten)]
    harp: HarpChoice,
    /// The tempo at the start in quarter notes a minute, 5 to 400; later changes keep their proportion. [default: as
    /// written]
    #[arg(long, value_name = "BPM", value_parser = tempo)]
    tempo: Option<Tempo>,
    /// How fast the player's hands are: beginner, improver, fluent or expert.
    #[arg(long, value_name = "LEVEL", default_value_t)]
    pace: PaceLevel,
    /// Who plays what: usual, staff, left, right or split=PITCH (from that pitch up right).
    #[arg(long, value_name = "RULE", default_value = "usual")]
    hands: HandsChoice,
    /// The piece begins again after its end: the levers must come back to where they started.
    #[arg(long = "loop")]
    again: bool,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

/// A tempo from the command line.
///
/// # Errors
/// No number, or one outside 5–400.
pub fn tempo(text: &str) -> Result<Tempo, String> {
    let number = text.parse().map_err(|_| "expected a number of quarter notes a minute".to_owned())?;
    Tempo::quarters(number).map_err(|error| error.to_string())
}

/// A piece with its plan: what both ways of showing it draw on.
struct Planned {
    score: Score,
    performance: Performance,
    harp: Harp,
    tempo: TempoMap,
    plan: Plan,
}

/// Plans the piece and shows the plan.
///
/// # Errors
/// A file that holds no score or no harp, a part that the score doesn't have, a tempo that its later changes can't
/// follow.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let harp = arguments.harp.harp()?;
    let imported = arguments.score.read()?;
    let parts = arguments.score.parts(&imported.score)?;
    let hands = Hands::assign(&imported.score, &arguments.hands.rule(&imported.score, parts));
    let performance = Performance::new(&imported.score, &imported.order, &hands);
    let tempo = match arguments.tempo {
        None => performance.tempo().clone(),
        Some(opening) => performance.tempo().opening_at(opening).map_err(|error| {
            let place = format!("at --tempo {} a later change of tempo becomes", opening.per_minute());
            Refusal::of_file(&arguments.score.file(), format!("{place} {error}; take another --tempo"))
        })?,
    };
    let plan = plan::plan(&Request {
        performance: &performance,
        harp: &harp,
        tempo: &tempo,
        pace: &HandPace::from(arguments.pace),
        edits: &[],
        ending: if arguments.again { EndOfPiece::Loop } else { EndOfPiece::Stop },
    });
    let planned = Planned { score: imported.score, performance, harp, tempo, plan };
    if arguments.json {
        return output.json(&json::Answer::new(&planned));
    }
    text::write(&planned, arguments.pace, output)?;
    text::write_warnings(&planned.score, &imported.warnings, output)
}
