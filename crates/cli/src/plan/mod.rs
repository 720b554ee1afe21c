//! `plan FILE`: which levers to set before the start, and every flip in order.

mod json;
mod repeats;
pub mod table;
mod text;
mod why;
pub mod words;

pub use json::{TotalsAnswer, totals};

use clap::Args;
use leverlane_core::plan::EndOfPiece;

use crate::output::Output;
use crate::planned::PlanChoice;
use crate::refusal::Refusal;

/// The arguments of `plan`.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    choice: PlanChoice,
    /// The piece begins again after its end: the levers must come back to where they started.
    #[arg(long = "loop")]
    again: bool,
    /// Say of each flip what its place costs, what the next best would, and where the eyes are. JSON always says it.
    #[arg(long)]
    why: bool,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

/// Plans the piece and shows the plan.
///
/// # Errors
/// As [`PlanChoice::planned`].
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let planned = match arguments.again {
        true => arguments.choice.planned(EndOfPiece::Loop)?,
        false => arguments.choice.planned_as_saved()?,
    };
    if arguments.json {
        return output.json(&json::Answer::new(&planned));
    }
    text::write(&planned, planned.said_pace, output)?;
    if arguments.why { text::write_reasons(&planned, output) } else { Ok(()) }
}
