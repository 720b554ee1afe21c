//! Which levers could move together in one gesture, whatever strings a plan chooses.

use super::super::bench::Bench;
use super::super::need::Need;
use super::super::{EndOfPiece, Window};
use super::certain::Certain;
use crate::harp::{LeverState, StringNumber};

/// For each string and direction, every window in which a plan may flip it.
pub(in super::super) struct Together {
    /// In order of their ends, and so of their beginnings too.
    windows: Vec<[Vec<Window>; 2]>,
}

impl Together {
    pub fn of(bench: &Bench<'_>, certain: &Certain<'_>) -> Together {
        let numbers = bench.request.harp.numbered().map(|(number, _)| number);
        Together { windows: numbers.map(|string| windows(bench, certain, string)).collect() }
    }

    /// The most levers that a gesture can have which makes a flip: those of the strings beside it, one after another, that may be
    /// flipped the same way in its window.
    pub fn most(&self, need: &Need) -> u32 {
        let run = |beside: fn(StringNumber) -> Option<StringNumber>| {
            let strings = std::iter::successors(beside(need.string), |&string| beside(string));
            strings.take_while(|&string| self.may_flip(string, need)).count()
        };
        u32::try_from(1 + run(StringNumber::above) + run(StringNumber::below)).unwrap_or(u32::MAX)
    }

    fn may_flip(&self, string: StringNumber, beside: &Need) -> bool {
        let Some(windows) = self.windows.get(string.index()).map(|windows| &windows[beside.to as usize]) else {
            return false;
        };
        let ending_later = windows.partition_point(|window| Some(window.before) <= beside.window.after);
        windows.get(ending_later).is_some_and(|window| window.overlaps(&beside.window))
    }
}

/// The windows of a string, for the two directions: from the earliest pluck in the old state with no certain one after it.
fn windows(bench: &Bench<'_>, certain: &Certain<'_>, string: StringNumber) -> [Vec<Window>; 2] {
    let mut windows = [Vec::new(), Vec::new()];
    // The earliest that each state may last have sounded, where no later pluck is certain.
    let mut sounded: [Option<Option<crate::time::ScoreTime>>; 2] = [None, None];
    if let Some(lever) = bench.wishes.preset(string) {
        sounded[lever as usize] = Some(None);
    }
    for candidate in certain.candidates(string) {
        let at = bench.request.performance.plucks()[candidate.pluck].at;
        let (own, other) = (candidate.state, !candidate.state);
        if let Some(after) = sounded[other as usize] {
            windows[own as usize].push(Window { after, before: at });
        }
        if candidate.is_certain {
            sounded[other as usize] = None;
            sounded[own as usize] = Some(Some(at));
        } else {
            sounded[own as usize].get_or_insert(Some(at));
        }
    }
    if bench.request.ending == EndOfPiece::Loop {
        for to in [LeverState::Down, LeverState::Up] {
            if let Some(after) = sounded[!to as usize] {
                windows[to as usize].push(Window { after, before: bench.request.performance.end() });
            }
        }
    }
    windows
}
