//! `programme FILE…`: pieces played in a row on one harp, in the order that needs the least setting between them.
//!
//! ```text
//! {"order":[{"file","title","tuning","totals","retune":[{"string","open"}],"set":[{"string","open","to"}]}],
//!  "retuned","moved","best_possible"}
//! ```
//!
//! `retune` and `set` are what to do before the piece, after the one before it (before the first: from the harp as tuned
//! for it, all levers down). `retuned` and `moved` count strings and levers between the pieces.

use std::path::{Path, PathBuf};

use clap::Args;
use leverlane_core::harp::{Harp, LeverState, Setting};
use leverlane_core::plan::{EndOfPiece, Pace, Request, Totals, plan, tunings_ranked};
use leverlane_core::programme::{Between, Item, MOST_EXACT, order};
use serde::Serialize;

use crate::harp_choice::HarpChoice;
use crate::output::Output;
use crate::plan::{TotalsAnswer, totals};
use crate::planned::PlanChoice;
use crate::refusal::Refusal;
use crate::score_choice::{ScoreChoice, WithinScore};

/// The arguments of `programme`.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The pieces.
    #[arg(value_name = "FILE", required = true)]
    files: Vec<PathBuf>,
    #[command(flatten)]
    within: WithinScore,
    #[command(flatten)]
    harp: HarpChoice,
    /// How fast the player's hands are: beginner, improver, fluent or expert. [default: fluent, or what a piece document
    /// says]
    #[arg(long, value_name = "LEVEL")]
    pace: Option<Pace>,
    /// Tune the harp for each piece as suits that piece best.
    #[arg(long)]
    retune: bool,
    /// Keep the pieces in the order given.
    #[arg(long)]
    keep: bool,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

/// A piece on the harp as it is tuned for it.
struct Piece {
    file: String,
    title: String,
    harp: Harp,
    item: Item,
    totals: Totals,
}

#[derive(Debug, Serialize)]
struct Answer {
    order: Vec<PieceAnswer>,
    retuned: usize,
    moved: usize,
    best_possible: bool,
}

#[derive(Debug, Serialize)]
struct PieceAnswer {
    file: String,
    title: String,
    tuning: Option<&'static str>,
    totals: TotalsAnswer,
    retune: Vec<RetuneAnswer>,
    set: Vec<SetAnswer>,
}

#[derive(Debug, Serialize)]
struct RetuneAnswer {
    string: u8,
    open: String,
}

#[derive(Debug, Serialize)]
struct SetAnswer {
    string: u8,
    open: String,
    to: String,
}

/// Plans every piece, finds the order and shows what to set between them.
///
/// # Errors
/// A file that holds no score or no harp.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let pieces = arguments.files.iter().map(|file| piece(arguments, file));
    let pieces = pieces.collect::<Result<Vec<Piece>, Refusal>>()?;
    let items: Vec<Item> = pieces.iter().map(|piece| piece.item.clone()).collect();
    let order = if arguments.keep { (0..pieces.len()).collect() } else { order(&items) };
    let mut sheet: Vec<(&Piece, Between)> = Vec::new();
    for &index in &order {
        let between = match sheet.last() {
            Some((before, _)) => Between::of(&before.item, &items[index]),
            None => {
                let down = Setting::all_down(&pieces[index].harp);
                Between { retune: Vec::new(), set: down.changes_to(&items[index].start).collect() }
            }
        };
        sheet.push((&pieces[index], between));
    }
    let between = sheet.iter().skip(1).map(|(_, between)| (between.retune.len(), between.set.len()));
    let (retuned, moved) = between.fold((0, 0), |sum, next| (sum.0 + next.0, sum.1 + next.1));
    if arguments.json {
        let best_possible = !arguments.keep && pieces.len() <= MOST_EXACT;
        let order = sheet.iter().map(|(piece, between)| piece_answer(piece, between)).collect();
        return output.json(&Answer { order, retuned, moved, best_possible });
    }
    for (place, (piece, between)) in sheet.iter().enumerate() {
        let tuning = piece.harp.usual_tuning().map_or_else(String::new, |tuning| format!(", {tuning} tuning"));
        output.line(format!("{}. {}{tuning}: {} flips", place + 1, piece.title, piece.totals.flips))?;
        for line in lines(piece, between) {
            output.line(format!("     {line}"))?;
        }
    }
    output.line(format!("\nbetween the pieces {moved} levers to move and {retuned} strings to retune"))
}

fn piece(arguments: &Arguments, file: &Path) -> Result<Piece, Refusal> {
    let choice = PlanChoice {
        score: ScoreChoice::named(file.to_path_buf(), arguments.within.clone()),
        harp: arguments.harp.clone(),
        tempo: None,
        pace: arguments.pace,
    };
    let read = choice.read()?;
    let request = read.request(EndOfPiece::Stop);
    let best = if arguments.retune { tunings_ranked(&request).first().map(|&(tuning, _)| tuning) } else { None };
    let harp = best.and_then(|tuning| request.harp.retuned(tuning).ok()).unwrap_or_else(|| request.harp.clone());
    let plan = plan(&Request { harp: &harp, ..request });
    let title = read.title();
    let title = if title.trim().is_empty() { choice.score.name() } else { title.to_owned() };
    let tuned = harp.strings().iter().map(|string| string.open).collect();
    let item = Item { tuned, start: plan.start, end: plan.end };
    Ok(Piece { file: choice.score.file(), title, harp, item, totals: plan.totals })
}

fn piece_answer(piece: &Piece, between: &Between) -> PieceAnswer {
    let open = |string| piece.harp.string(string).map_or_else(String::new, |string| string.open.ascii());
    let retune = between.retune.iter().map(|&(string, _)| RetuneAnswer { string: string.get(), open: open(string) });
    let set = between.set.iter().map(|&(string, to)| SetAnswer {
        string: string.get(),
        open: open(string),
        to: to.to_string(),
    });
    PieceAnswer {
        file: piece.file.clone(),
        title: piece.title.clone(),
        tuning: piece.harp.usual_tuning().map(|tuning| tuning.ascii()),
        totals: totals(piece.totals),
        retune: retune.collect(),
        set: set.collect(),
    }
}

/// What to do before a piece.
fn lines(piece: &Piece, between: &Between) -> Vec<String> {
    let open = |string| piece.harp.string(string).map_or_else(String::new, |string| string.open.to_string());
    let set = |state: LeverState| {
        let moved = between.set.iter().filter(|(_, to)| *to == state).map(|&(string, _)| open(string));
        moved.collect::<Vec<_>>().join(" ")
    };
    let retuned = between.retune.iter().map(|&(string, _)| open(string)).collect::<Vec<_>>().join(" ");
    let told = [("retune to", retuned), ("levers up:", set(LeverState::Up)), ("levers down:", set(LeverState::Down))];
    told.into_iter()
        .filter(|(_, strings)| !strings.is_empty())
        .map(|(what, strings)| format!("{what} {strings}"))
        .collect()
}
