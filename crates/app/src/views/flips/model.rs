//! The list in words, derived once for each plan.

use std::collections::BTreeMap;

use leverlane_core::pitch::SpelledPitch;
use leverlane_core::plan::{Gesture, Problem, ProblemKind};
use leverlane_core::time::{ScoreTime, Seconds};

use crate::names;
use crate::state::{Piece, Planned};
use crate::widgets::FlipMark;

/// The whole list.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FlipsModel {
    /// How many flips there are.
    pub heading: String,
    /// What else the plan amounts to; may be empty.
    pub remark: String,
    /// The gestures of the plan, in its order.
    pub flips: Vec<FlipLine>,
    /// Its problems by time; many of one kind are told together.
    pub problems: Vec<ProblemLine>,
    /// Both in order of time, a problem before a flip of the same moment.
    pub entries: Vec<Entry>,
}

/// What stands at a place of the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Entry {
    /// A problem, by its place among the problems.
    Problem(usize),
    /// A flip, by its place among the flips.
    Flip(usize),
}

/// One gesture.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FlipLine {
    /// Its mark.
    pub mark: FlipMark,
    /// Bar and beat.
    pub place: String,
    /// Up to which tempo it can be made.
    pub top_tempo: String,
    /// Time needed and time there is.
    pub time: String,
    /// All of it for the ear.
    pub spoken: String,
}

/// One problem.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ProblemLine {
    /// Bar and beat.
    pub place: String,
    /// What is wrong.
    pub words: String,
    /// The flip that it is about, by its place in the plan.
    pub flip: Option<usize>,
    /// What helps.
    pub ways_out: Vec<Way>,
}

/// A way out, and where in the plan it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Way {
    /// The problem, by its place in the plan.
    pub problem: usize,
    /// The way out, by its place in the problem.
    pub way: usize,
    /// What it says.
    pub words: String,
}

impl FlipsModel {
    /// The list of a plan.
    pub fn new(piece: &Piece, planned: &Planned) -> FlipsModel {
        let totals = &planned.plan.totals;
        let count = planned.plan.gestures.iter().map(|gesture| gesture.flips.len()).sum::<usize>();
        let heading = match count {
            0 => "No flips".to_owned(),
            1 => "One flip".to_owned(),
            count => format!("{count} flips"),
        };
        let figures = [
            (totals.unplayable, "can't be played"),
            (totals.rushed, "too tight"),
            (totals.respelled, "respelled to save flips"),
        ];
        let remark = figures
            .iter()
            .filter(|(count, _)| *count > 0)
            .map(|(count, words)| format!("{count} {words}"))
            .collect::<Vec<_>>()
            .join(", ");
        let (gestures, problems) = (&planned.plan.gestures, &planned.plan.problems);
        let told = told_together(problems);
        let first_at = |group: &Vec<usize>| problems[group[0]].at;
        let problem_entries = told.iter().enumerate().map(|(index, group)| (first_at(group), Entry::Problem(index)));
        let flip_entries = gestures.iter().enumerate().map(|(index, gesture)| (gesture.at, Entry::Flip(index)));
        let mut entries: Vec<(ScoreTime, Entry)> = problem_entries.chain(flip_entries).collect();
        // The sort is stable: problems stay before flips of their moment.
        entries.sort_by_key(|(at, _)| *at);
        FlipsModel {
            entries: entries.into_iter().map(|(_, entry)| entry).collect(),
            heading,
            remark,
            flips: planned.plan.gestures.iter().map(|gesture| flip_line(piece, planned, gesture)).collect(),
            problems: told.iter().map(|group| problem_line(piece, planned, group)).collect(),
        }
    }
}

fn flip_line(piece: &Piece, planned: &Planned, gesture: &Gesture) -> FlipLine {
    let place = names::place(piece, gesture.played_bar, gesture.at);
    let unit = planned.goal.tempo_at(gesture.at).beat();
    let top_tempo = match gesture.top_tempo {
        None => "at any tempo".to_owned(),
        Some(top) if top.quarters_per_minute / unit.quarters() < 1.0 => "at no tempo".to_owned(),
        Some(top) => format!("up to {} a minute", names::top_tempo(top, unit)),
    };
    let seconds = |value: Seconds| format!("{:.1} s", value.get());
    let time = match gesture.available {
        None => format!("needs {}, nothing presses", seconds(gesture.needed)),
        Some(available) if gesture.is_rushed() => {
            format!("! too tight: needs {}, has {}", seconds(gesture.needed), seconds(available))
        }
        Some(available) => format!("needs {}, has {}", seconds(gesture.needed), seconds(available)),
    };
    let spoken =
        format!("{}, {}, {place}, {top_tempo}, {time}", names::gesture_spoken(gesture), names::hand(gesture.hand));
    FlipLine { mark: FlipMark::of(gesture), place, top_tempo, time, spoken }
}

/// More problems of one kind of single notes than this are told in one entry.
const MOST_APART: usize = 3;

/// The problems in groups, by time of the first: single notes that this harp can't play are told together where there
/// are many.
fn told_together(problems: &[Problem]) -> Vec<Vec<usize>> {
    let mut of_kind: BTreeMap<ProblemKind, usize> = BTreeMap::new();
    for problem in problems.iter().filter(|problem| is_of_single_notes(problem.kind)) {
        *of_kind.entry(problem.kind).or_default() += 1;
    }
    let mut group_of: BTreeMap<ProblemKind, usize> = BTreeMap::new();
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for (index, problem) in problems.iter().enumerate() {
        match group_of.get(&problem.kind) {
            Some(&group) => groups[group].push(index),
            None => {
                if of_kind.get(&problem.kind).is_some_and(|&count| count > MOST_APART) {
                    group_of.insert(problem.kind, groups.len());
                }
                groups.push(vec![index]);
            }
        }
    }
    groups
}

fn is_of_single_notes(kind: ProblemKind) -> bool {
    matches!(kind, ProblemKind::OffTheHarp | ProblemKind::NotInTuning | ProblemKind::NoLever)
}

fn problem_line(piece: &Piece, planned: &Planned, group: &[usize]) -> ProblemLine {
    let problems = &planned.plan.problems;
    let performance = &piece.performance;
    let problem = &problems[group[0]];
    let mut pitches: Vec<SpelledPitch> = group
        .iter()
        .flat_map(|&index| &problems[index].plucks)
        .filter_map(|&pluck| performance.plucks().get(pluck))
        .map(|pluck| pluck.pitch)
        .collect();
    if group.len() > 1 {
        pitches.sort();
    }
    pitches.dedup();
    let names: Vec<String> = pitches.iter().map(SpelledPitch::to_string).collect();
    let notes = match &names[..] {
        [] => "this moment".to_owned(),
        many if group.len() > 1 => many.join(", "),
        few => few.join(" and "),
    };
    let words = names::problem(problem.kind, &notes);
    let more = match group.len() {
        1 => again(piece, problem),
        count => format!(": {count} places, marked × on the strip"),
    };
    let mut ways_out: Vec<Way> = Vec::new();
    for &index in group {
        for (way, way_out) in problems[index].ways_out.iter().enumerate() {
            let Some(words) = names::way_out(&way_out.change, piece, planned) else { continue };
            if ways_out.iter().all(|known| known.words != words) {
                ways_out.push(Way { problem: index, way, words });
            }
        }
    }
    ProblemLine {
        flip: planned.plan.gestures.iter().position(|gesture| gesture.at == problem.at),
        place: names::place(piece, performance.bar_at(problem.at), problem.at),
        words: format!("{words}{more}"),
        ways_out,
    }
}

/// Where else a problem of single notes comes, by printed bars; empty for one that stands in one bar only.
fn again(piece: &Piece, problem: &Problem) -> String {
    const MOST: usize = 6;
    if !is_of_single_notes(problem.kind) {
        return String::new();
    }
    let performance = &piece.performance;
    let first = piece.bar_number(performance.bar_at(problem.at));
    let mut bars: Vec<&str> = Vec::new();
    for pluck in problem.plucks.iter().filter_map(|&pluck| performance.plucks().get(pluck)) {
        let bar = piece.bar_number(pluck.played_bar);
        if bar != first && !bars.contains(&bar) {
            bars.push(bar);
        }
    }
    match (bars.len(), bars.get(MOST..)) {
        (0, _) => String::new(),
        (1, _) => format!("; also in bar {}", bars[0]),
        (_, None | Some([])) => format!("; also in bars {}", bars.join(", ")),
        (_, Some(more)) => format!("; also in bars {} and {} more", bars[..MOST].join(", "), more.len()),
    }
}

#[cfg(test)]
mod tests;
