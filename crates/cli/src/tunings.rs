//! `tunings FILE`: what the piece costs in each usual tuning, best first.

use clap::Args;
use leverlane_core::plan::{EndOfPiece, tunings_ranked};
use serde::Serialize;

use crate::output::Output;
use crate::plan::{TotalsAnswer, table, totals};
use crate::planned::PlanChoice;
use crate::refusal::Refusal;

/// The arguments of `tunings`.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    choice: PlanChoice,
    /// The piece begins again after its end: the levers must come back to where they started.
    #[arg(long = "loop")]
    again: bool,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

/// One tuning: `{"tuning","totals"}`.
#[derive(Debug, Serialize)]
struct TuningAnswer {
    tuning: &'static str,
    totals: TotalsAnswer,
}

/// `{"tunings":[…]}`, best first.
#[derive(Debug, Serialize)]
struct Answer {
    tunings: Vec<TuningAnswer>,
}

/// Plans the piece in every usual tuning and shows the totals.
///
/// # Errors
/// As [`PlanChoice::read`].
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let ending = if arguments.again { EndOfPiece::Loop } else { EndOfPiece::Stop };
    let piece = arguments.choice.read()?;
    let ranked = tunings_ranked(&piece.request(ending));
    if arguments.json {
        let each = ranked.iter().map(|(tuning, found)| TuningAnswer { tuning: tuning.ascii(), totals: totals(*found) });
        return output.json(&Answer { tunings: each.collect() });
    }
    let head = ["tuning", "can't be played", "too tight", "flips", "on the neighbouring string", "comfort cost"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    for (tuning, found) in ranked {
        let mut row = vec![tuning.to_string()];
        let figures = [found.unplayable, found.rushed, found.flips, found.respelled, found.comfort];
        row.extend(figures.map(|figure| figure.to_string()));
        rows.push(row);
    }
    use table::Align::{Left, Right};
    for line in table::lines(&[Left, Right, Right, Right, Right, Right], &rows) {
        output.line(line)?;
    }
    Ok(())
}
