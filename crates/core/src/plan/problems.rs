//! What is wrong with a plan, in the order of time.

use super::bench::{Bench, Choice};
use super::demand::{Ways, is_respelled};
use super::need::Need;
use super::{Edit, Plan, Problem, ProblemKind};
use crate::harp::{LeverState, StringNumber};
use crate::score::{Pluck, Stroke};
use crate::time::ScoreTime;

/// Names every note that can't be played, every rushed gesture and every wish that isn't met.
pub(super) fn find(
    bench: &Bench<'_>,
    ways: &Ways,
    plan: &Plan,
    needs: &[Need],
    choices: &[Choice],
    roomless: &[Need],
) -> Vec<Problem> {
    let plucks = bench.request.performance.plucks();
    let mut problems: Vec<Problem> = plucks
        .iter()
        .enumerate()
        .filter(|&(index, _)| plan.strings[index].is_none())
        .map(|(index, pluck)| unplayable(bench, ways, plan, index, pluck))
        .collect();
    for gesture in plan.gestures.iter().filter(|gesture| gesture.is_rushed()) {
        let made =
            |need: &&Need| gesture.flips.iter().any(|flip| (flip.string, flip.window) == (need.string, need.window));
        let plucks = needs.iter().filter(made).filter_map(|need| need.pluck).collect();
        problems.push(problem(ProblemKind::Rushed, gesture.at, plucks));
    }
    for need in roomless {
        problems.push(problem(ProblemKind::NoRoomForFlip, need.window.before, need.pluck.into_iter().collect()));
    }
    for refused in bench.refused(needs, choices) {
        let at = moment_of(bench, &refused.edit);
        problems.push(Problem { refused: Some(refused), ..problem(ProblemKind::EditNotMet, at, Vec::new()) });
    }
    problems.sort_by_key(|problem| (problem.at, problem.kind));
    problems
}

fn problem(kind: ProblemKind, at: ScoreTime, plucks: Vec<usize>) -> Problem {
    Problem { kind, at, plucks, refused: None, ways_out: Vec::new() }
}

/// Why one note can't be played.
fn unplayable(bench: &Bench<'_>, ways: &Ways, plan: &Plan, index: usize, pluck: &Pluck) -> Problem {
    let harp = bench.request.harp;
    let note = pluck.pitch.midi();
    let on_its_letter = |&&(string, _): &&(StringNumber, LeverState)| {
        pluck.stroke == Stroke::Plucked || !is_respelled(harp, pluck, string)
    };
    let ways: Vec<_> = ways.to_sound(note).iter().filter(on_its_letter).copied().collect();
    if ways.is_empty() {
        let lowest = harp.strings().last().map(|string| string.open.midi());
        let highest = harp.strings().first().map(|string| string.sounds(LeverState::Up).midi());
        let kind = if lowest.is_some_and(|lowest| note < lowest) || highest.is_some_and(|highest| note > highest) {
            ProblemKind::OffTheHarp
        } else if harp.strings().iter().any(|string| string.sounds(LeverState::Up).midi() == note) {
            ProblemKind::NoLever
        } else {
            ProblemKind::NotInTuning
        };
        return problem(kind, pluck.at, vec![index]);
    }
    // The strings are there: something at the same instant holds them in the other state.
    let plucks = bench.request.performance.plucks();
    let rivals: Vec<usize> = (0..plucks.len())
        .skip(plucks.partition_point(|other| other.at < pluck.at))
        .take_while(|&other| plucks[other].at == pluck.at)
        .filter(|&other| plan.strings[other].is_some_and(|(held, _)| ways.iter().any(|&(string, _)| string == held)))
        .collect();
    let together = |other: &usize| plucks[*other].grace_order == pluck.grace_order;
    let kind = if rivals.iter().any(together) { ProblemKind::SameString } else { ProblemKind::NoRoomForFlip };
    problem(kind, pluck.at, std::iter::once(index).chain(rivals).collect())
}

/// When the pluck is played that a decision speaks of, or the start of the piece where there is none.
fn moment_of(bench: &Bench<'_>, edit: &Edit) -> ScoreTime {
    let (bar, at, time_through) = match edit {
        Edit::Place { flip, .. } | Edit::Hand { flip, .. } | Edit::Forbid { flip } => {
            (flip.needed_in, flip.needed_at, flip.time_through)
        }
        Edit::String { note, .. } => (note.bar, note.at, 0),
        Edit::Preset { .. } => return ScoreTime::START,
    };
    let bars = bench.request.performance.bars();
    let bar = bars.iter().find(|played| (played.bar, played.earlier_times) == (bar, time_through));
    bar.map_or(ScoreTime::START, |bar| bar.starts + at)
}
