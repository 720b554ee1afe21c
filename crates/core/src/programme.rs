//! The order of several pieces on one harp that needs the least setting and retuning between them.
//!
//! Between two pieces every lever that stands otherwise at the next one's start has to be moved, and every string that is
//! tuned otherwise has to be retuned. Up to [`MOST_EXACT`] pieces the best order is exact (Held and Karp 1962: the cheapest way
//! through every set of pieces that ends with each of them); beyond, pieces are added one by one where they cost least, and
//! stretches are turned round while that helps.

use crate::harp::{LeverState, Setting, StringNumber};
use crate::pitch::SpelledPitch;

/// Up to so many pieces the order is the best there is.
pub const MOST_EXACT: usize = 12;
/// What retuning one string weighs against moving one lever: half a minute against a second, and a string at risk (set by us).
const RETUNING: u32 = 30;

/// What a piece needs before its first note, and how it leaves the harp.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// Every string's open pitch, from the top.
    pub tuned: Vec<SpelledPitch>,
    /// Where the levers stand before the first note.
    pub start: Setting,
    /// Where they stand after the last.
    pub end: Setting,
}

/// What is to be done between two pieces.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Between {
    /// Strings to retune, with their new open pitch. They are tuned with their levers down.
    pub retune: Vec<(StringNumber, SpelledPitch)>,
    /// Levers to move, with where they go.
    pub set: Vec<(StringNumber, LeverState)>,
}

impl Between {
    /// What is to be done after one piece and before another, on one harp.
    pub fn of(before: &Item, after: &Item) -> Between {
        let strings = before.tuned.iter().zip(&after.tuned).enumerate();
        let retune = strings
            .filter(|(_, (old, new))| old != new)
            .map(|(index, (_, new))| (StringNumber::from_index(index), *new))
            .collect();
        Between { retune, set: before.end.changes_to(&after.start).collect() }
    }

    /// What it weighs: one for a lever, more for a string that is retuned.
    pub fn cost(&self) -> u32 {
        let count = |count: usize| u32::try_from(count).unwrap_or(u32::MAX / 64);
        count(self.set.len()) + RETUNING * count(self.retune.len())
    }
}

/// The order of the pieces, by their places in the list. Of equal ones the one nearest to the list's own.
pub fn order(items: &[Item]) -> Vec<usize> {
    let cost: Vec<Vec<u32>> =
        items.iter().map(|before| items.iter().map(|after| Between::of(before, after).cost()).collect()).collect();
    if items.len() <= MOST_EXACT { exact(&cost) } else { grown(&cost) }
}

/// What an order weighs.
pub fn cost_of(items: &[Item], order: &[usize]) -> u32 {
    order.windows(2).map(|pair| Between::of(&items[pair[0]], &items[pair[1]]).cost()).sum()
}

/// The cheapest way through all pieces, by the cheapest ways on from each through each set of those that remain.
fn exact(cost: &[Vec<u32>]) -> Vec<usize> {
    let count = cost.len();
    let all = (1usize << count) - 1;
    // least[set][first]: through all of `set`, beginning with `first`.
    let mut least = vec![vec![u32::MAX; count]; all + 1];
    for set in 1..=all {
        for first in (0..count).filter(|first| set >> first & 1 == 1) {
            let rest = set & !(1 << first);
            let onward = (0..count).filter(|next| rest >> next & 1 == 1);
            let cheapest = onward.map(|next| cost[first][next].saturating_add(least[rest][next])).min();
            least[set][first] = cheapest.unwrap_or(0);
        }
    }
    let mut order: Vec<usize> = Vec::with_capacity(count);
    let mut left = all;
    while left != 0 {
        let step = |next: usize| order.last().map_or(0, |&last: &usize| cost[last][next]);
        let open = (0..count).filter(|next| left >> next & 1 == 1);
        let Some(next) = open.min_by_key(|&next| (step(next).saturating_add(least[left][next]), next)) else { break };
        order.push(next);
        left &= !(1 << next);
    }
    order
}

/// Pieces added one by one where they cost least; then stretches turned round while that helps.
fn grown(cost: &[Vec<u32>]) -> Vec<usize> {
    let total = |order: &[usize]| order.windows(2).map(|pair| cost[pair[0]][pair[1]]).sum::<u32>();
    let mut order: Vec<usize> = Vec::new();
    for piece in 0..cost.len() {
        let with = |place: usize| {
            let mut longer = order.clone();
            longer.insert(place, piece);
            longer
        };
        let ways = (0..=order.len()).rev().map(with);
        order = ways.min_by_key(|way| total(way)).unwrap_or_else(|| vec![piece]);
    }
    loop {
        let mut best = order.clone();
        for from in 0..order.len() {
            for to in from + 1..order.len() {
                let mut turned = order.clone();
                turned[from..=to].reverse();
                if total(&turned) < total(&best) {
                    best = turned;
                }
            }
        }
        if best == order {
            return order;
        }
        order = best;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::harp::{Harp, Preset, Tuning};

    fn harp(tuning: Tuning) -> Harp {
        Preset::with_strings(22).unwrap().tuned(tuning)
    }

    /// A piece that begins with so many of the top levers up and ends with so many.
    fn item(tuning: Tuning, start: usize, end: usize) -> Item {
        let harp = harp(tuning);
        let up = |count: usize| {
            let mut setting = Setting::all_down(&harp);
            (0..count).for_each(|index| setting.set(StringNumber::from_index(index), LeverState::Up));
            setting
        };
        Item { tuned: harp.strings().iter().map(|string| string.open).collect(), start: up(start), end: up(end) }
    }

    /// By hand: 0→3, 3→5, 5→1 fit end to start without moving a lever; and the one in another tuning comes last. F tuning
    /// differs from C in its three B strings of 22 from C4 to C7 (arithmetic).
    #[test]
    fn pieces_follow_where_they_fit() {
        let items = [item(Tuning::F, 1, 1), item(Tuning::C, 5, 1), item(Tuning::C, 0, 3), item(Tuning::C, 3, 5)];
        let order = order(&items);
        assert_eq!(order, [2, 3, 1, 0]);
        assert_eq!(cost_of(&items, &order), 3 * RETUNING);
        let between = Between::of(&items[1], &items[0]);
        assert_eq!((between.retune.len(), between.set.len()), (3, 0));
    }

    /// Against every order there is, for up to six pieces; and the way for many pieces comes close.
    #[test]
    fn the_exact_order_is_the_best_of_all() {
        fn every(left: &mut Vec<usize>, so_far: &mut Vec<usize>, items: &[Item], best: &mut u32) {
            if left.is_empty() {
                *best = (*best).min(cost_of(items, so_far));
            }
            for index in 0..left.len() {
                let next = left.remove(index);
                so_far.push(next);
                every(left, so_far, items, best);
                so_far.pop();
                left.insert(index, next);
            }
        }
        for seed in 0..20usize {
            let number = |index: usize, salt: usize| (seed * 7 + index * 13 + salt * 5 + index * index * seed) % 15;
            let items: Vec<Item> = (0..6)
                .map(|index| item(Tuning::ALL[number(index, 3) % 2], number(index, 1), number(index, 2)))
                .collect();
            let mut best = u32::MAX;
            every(&mut (0..6).collect(), &mut Vec::new(), &items, &mut best);
            assert_eq!(cost_of(&items, &order(&items)), best, "seed {seed}");
            let cost: Vec<Vec<u32>> =
                items.iter().map(|a| items.iter().map(|b| Between::of(a, b).cost()).collect()).collect();
            let mut found = grown(&cost);
            assert!(cost_of(&items, &found) >= best);
            found.sort_unstable();
            assert_eq!(found, [0, 1, 2, 3, 4, 5]);
        }
        assert_eq!(order(&[]), Vec::<usize>::new());
    }
}
