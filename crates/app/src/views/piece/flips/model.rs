//! The list in words, derived once for each plan.

mod repeats;

pub use repeats::RepeatLine;

use std::collections::BTreeMap;

use leverlane_core::pitch::SpelledPitch;
use leverlane_core::plan::{Gap, Gesture, Problem, ProblemKind, Proof};
use leverlane_core::time::{ScoreTime, Seconds};

use crate::names;
use crate::state::{Piece, Planned};
use crate::widgets::FlipMark;
use crate::words::Words;

/// The whole list.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FlipsModel {
    /// How many flips there are.
    pub heading: String,
    /// What else the plan amounts to; may be empty.
    pub remark: String,
    /// How good the plan is known to be.
    pub proof: String,
    /// The gestures of the plan, in its order.
    pub flips: Vec<FlipLine>,
    /// Its problems by time; many of one kind are told together.
    pub problems: Vec<ProblemLine>,
    /// The bars that aren't played alike each time.
    pub repeats: Vec<RepeatLine>,
    /// All in order of time: of one moment first what differs from the first time, then problems, then flips.
    pub entries: Vec<Entry>,
}

/// What stands at a place of the list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Entry {
    /// A bar not played as the first time, by its place among the repeats.
    Repeat(usize),
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
    pub fn new(words: Words, piece: &Piece, planned: &Planned) -> FlipsModel {
        let totals = &planned.plan.totals;
        let count = planned.plan.gestures.iter().map(|gesture| gesture.flips.len()).sum::<usize>();
        let heading = words.with("flips-count", [("count", count.into())]);
        let figures = [
            (totals.unplayable, words.with("flips-unplayable", [("count", totals.unplayable.into())])),
            (totals.rushed, words.with("flips-rushed", [("count", totals.rushed.into())])),
            (totals.respelled, words.with("flips-respelled", [("count", totals.respelled.into())])),
        ];
        let told = figures.into_iter().filter(|(count, _)| *count > 0).map(|(_, told)| told);
        let remark = told.collect::<Vec<_>>().join(", ");
        let (gestures, problems) = (&planned.plan.gestures, &planned.plan.problems);
        let told = told_together(problems);
        let first_at = |group: &Vec<usize>| problems[group[0]].at;
        let problem_entries = told.iter().enumerate().map(|(index, group)| (first_at(group), Entry::Problem(index)));
        let flip_entries = gestures.iter().enumerate().map(|(index, gesture)| (gesture.at, Entry::Flip(index)));
        let (repeat_times, repeats): (Vec<ScoreTime>, Vec<RepeatLine>) =
            repeats::repeat_lines(words, piece, planned).into_iter().unzip();
        let repeat_entries = repeat_times.into_iter().enumerate().map(|(index, at)| (at, Entry::Repeat(index)));
        let mut entries: Vec<(ScoreTime, Entry)> = repeat_entries.chain(problem_entries).chain(flip_entries).collect();
        // The sort is stable: problems stay before flips of their moment.
        entries.sort_by_key(|(at, _)| *at);
        FlipsModel {
            entries: entries.into_iter().map(|(_, entry)| entry).collect(),
            heading,
            remark,
            proof: proof(words, planned.plan.proof),
            repeats,
            flips: planned.plan.gestures.iter().map(|gesture| flip_line(words, piece, planned, gesture)).collect(),
            problems: told.iter().map(|group| problem_line(words, piece, planned, group)).collect(),
        }
    }
}

fn proof(words: Words, proof: Proof) -> String {
    let within = |text: &str, gap: u32| words.with(text, [("gap", gap.into())]);
    match proof {
        Proof::BestPossible => words.text("proof-best"),
        Proof::Within(Gap { unplayable, .. }) if unplayable > 0 => within("proof-unplayable", unplayable),
        Proof::Within(Gap { rushed, .. }) if rushed > 0 => within("proof-rushed", rushed),
        Proof::Within(Gap { work, .. }) if work > 0 => within("proof-work", work),
        Proof::Within(Gap { comfort, .. }) => within("proof-comfort", comfort),
    }
}

fn flip_line(words: Words, piece: &Piece, planned: &Planned, gesture: &Gesture) -> FlipLine {
    let place = names::place(words, piece, gesture.played_bar, gesture.at);
    let unit = planned.goal.tempo_at(gesture.at).beat();
    let top_tempo = match gesture.top_tempo {
        None => words.text("top-any"),
        Some(top) => match names::top_tempo(top, unit) {
            None => words.text("top-none"),
            Some(tempo) => words.with("top-up-to", [("tempo", tempo.into())]),
        },
    };
    let seconds = |value: Seconds| words.decimal(value.get(), 1);
    let needed = seconds(gesture.needed);
    let time = match gesture.available {
        None => words.with("time-free", [("needed", needed.into())]),
        Some(available) => {
            let gaps = [("needed", needed.into()), ("available", seconds(available).into())];
            if gesture.is_rushed() { words.with("time-rushed", gaps) } else { words.with("time-enough", gaps) }
        }
    };
    let (flips, hand) = (names::gesture_spoken(words, gesture), names::hand(words, gesture.hand));
    let spoken = format!("{flips}, {hand}, {place}, {top_tempo}, {time}");
    FlipLine { mark: FlipMark::of(words, gesture), place, top_tempo, time, spoken }
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

fn problem_line(words: Words, piece: &Piece, planned: &Planned, group: &[usize]) -> ProblemLine {
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
    let names: Vec<String> = pitches.iter().map(|&pitch| words.pitch(pitch)).collect();
    let notes = match &names[..] {
        [] => words.text("problem-this-moment"),
        many if group.len() > 1 => many.join(", "),
        few => few.join(&format!(" {} ", words.text("and"))),
    };
    let told = match &problem.refused {
        Some(refused) => names::refused(words, refused, piece, planned),
        None => names::problem(words, problem.kind, &notes),
    };
    let more = match group.len() {
        1 => again(words, piece, problem),
        count => words.with("problem-many-places", [("count", count.into())]),
    };
    let mut ways_out: Vec<Way> = Vec::new();
    for &index in group {
        for (way, way_out) in problems[index].ways_out.iter().enumerate() {
            let Some(told) = names::way_out(words, &way_out.change, piece, planned) else { continue };
            if ways_out.iter().all(|known| known.words != told) {
                ways_out.push(Way { problem: index, way, words: told });
            }
        }
    }
    ProblemLine {
        flip: planned.plan.gestures.iter().position(|gesture| gesture.at == problem.at),
        place: names::place(words, piece, performance.bar_at(problem.at), problem.at),
        words: format!("{told}{more}"),
        ways_out,
    }
}

/// Where else a problem of single notes comes, by printed bars; empty for one that stands in one bar only.
fn again(words: Words, piece: &Piece, problem: &Problem) -> String {
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
        (count, None | Some([])) => {
            words.with("problem-also", [("count", count.into()), ("bars", bars.join(", ").into())])
        }
        (_, Some(more)) => {
            words.with("problem-also-more", [("bars", bars[..MOST].join(", ").into()), ("more", more.len().into())])
        }
    }
}

#[cfg(test)]
mod tests;
