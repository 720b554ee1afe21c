//! A few flips that get in each other's way, decided together: first flip by flip, for something to beat, then exactly.

use std::collections::{BTreeMap, BTreeSet};

use super::super::bench::{Bench, Choice};
use super::super::cost::Cost;
use super::super::need::Need;
use super::sweep::Effort;
use super::{company, sweep};
use crate::score::Hand;

/// Rounds of bettering one flip at a time.
const MOST_ROUNDS: usize = 2;
/// How much comfort one flip may give up for the others while they are bettered one at a time.
const GIVE_WAY: u32 = 24;

/// A cluster decided.
pub(super) struct Solved {
    /// The choices for its members in their order.
    pub choices: Vec<Choice>,
    /// What they cost, differences on repeats between them included.
    pub cost: Cost,
    /// Whether they are proved to be the best there are: there may be too much to try.
    pub is_best: bool,
}

/// Decides a cluster, by places of `needs`. Of its members the best choices `alone` are known.
pub(super) fn solve(
    bench: &Bench<'_>,
    needs: &[Need],
    alone: &[Choice],
    members: &[usize],
    first_times: &[Option<usize>],
    effort: Effort,
) -> Solved {
    let place_of = |index: usize| members.iter().position(|&other| other == index);
    let needs: Vec<Need> = members.iter().map(|&index| needs[index]).collect();
    let cluster = Cluster {
        bench,
        follows: follows(&needs),
        needs,
        first_times: members.iter().map(|&index| first_times[index].and_then(place_of)).collect(),
    };
    let (choices, best) = cluster.better_one_by_one(alone);
    let least: Vec<Cost> = cluster.least(alone);
    let everything = least.iter().fold(Cost::NONE, |sum, &least| sum + least);
    if best == everything {
        return Solved { choices, cost: best, is_best: true };
    }
    // A choice that makes the whole dearer than the best found, even where every other flip costs its least, is never
    // taken. While rushing can still be saved elsewhere, no comfort is too dear for that.
    let options: Vec<Vec<Choice>> = (0..least.len())
        .map(|index| {
            let others = least.iter().enumerate().filter(|&(other, _)| other != index);
            let others = others.fold(Cost::NONE, |sum, (_, &least)| sum + least);
            let most_comfort =
                if best.rushed > others.rushed { u32::MAX } else { best.comfort.saturating_sub(others.comfort) };
            let is_open = |alone: Cost| cluster.effective(index, alone) + others <= best;
            bench.choices(&cluster.needs[index], most_comfort, is_open)
        })
        .collect();
    let options = cluster.without_needless(options);
    match sweep::better_than(&cluster, &options, best, effort) {
        sweep::Outcome::Better(better) => Solved { cost: cluster.cost(&better), choices: better, is_best: true },
        sweep::Outcome::NoneBetter => Solved { choices, cost: best, is_best: true },
        sweep::Outcome::TooMany => Solved { choices, cost: best, is_best: false },
    }
}

/// The flips of a cluster.
pub(super) struct Cluster<'a> {
    pub bench: &'a Bench<'a>,
    pub needs: Vec<Need>,
    /// For each flip, the same written flip on the first time through, where that is another of the cluster.
    pub first_times: Vec<Option<usize>>,
    /// For each flip, whether it could go with one of the lever above in one gesture.
    follows: Vec<bool>,
}

impl Cluster<'_> {
    /// Lets each flip in turn take what is best beside the others, until nothing changes.
    fn better_one_by_one(&self, alone: &[Choice]) -> (Vec<Choice>, Cost) {
        let mut best = alone.to_vec();
        let mut best_cost = self.cost(&best);
        for _ in 0..MOST_ROUNDS {
            let before = best_cost;
            for index in 0..alone.len() {
                let Cost { rushed, comfort, .. } = alone[index].cost;
                let is_open = |cost: Cost| cost.rushed <= rushed;
                for choice in self.bench.choices(&self.needs[index], comfort + GIVE_WAY, is_open) {
                    let kept = std::mem::replace(&mut best[index], choice);
                    let cost = self.cost(&best);
                    if cost < best_cost {
                        best_cost = cost;
                    } else {
                        best[index] = kept;
                    }
                }
            }
            if best_cost == before {
                break;
            }
        }
        (best, best_cost)
    }

    fn cost(&self, choices: &[Choice]) -> Cost {
        let everyone: Vec<usize> = (0..choices.len()).collect();
        company::cost(self.bench, &self.needs, choices, &everyone, &self.first_times)
    }

    /// Leaves out what need not be tried. A choice costs the same whatever the others take if no other flip of the cluster
    /// could be made by the same hand between the same two of its plucks; of those only the cheapest can be the best, but
    /// for flips that are compared with their repeats.
    fn without_needless(&self, mut options: Vec<Vec<Choice>>) -> Vec<Vec<Choice>> {
        let gap = |choice: &Choice| (choice.hand, choice.place.next_stop[choice.hand as usize]);
        let mut gaps: BTreeMap<(Hand, usize), BTreeSet<usize>> = BTreeMap::new();
        for (flip, choices) in options.iter().enumerate() {
            for choice in choices {
                gaps.entry(gap(choice)).or_default().insert(flip);
            }
        }
        for (flip, choices) in options.iter_mut().enumerate() {
            if self.first_times[flip].is_some() || self.first_times.contains(&Some(flip)) {
                continue;
            }
            let mut is_first = true;
            choices.retain(|choice| gaps[&gap(choice)].len() > 1 || std::mem::take(&mut is_first));
        }
        options
    }

    /// For each flip, what it adds at the least.
    fn least(&self, alone: &[Choice]) -> Vec<Cost> {
        let least = |((need, choice), &follows): ((&Need, &Choice), &bool)| {
            if follows { Cost { comfort: self.bench.least_comfort(need), ..Cost::NONE } } else { choice.cost }
        };
        self.needs.iter().zip(alone).zip(&self.follows).map(least).collect()
    }

    /// What a choice for a flip comes to in company at the least. The first lever of a gesture, from the top, bears its
    /// rushing; one that can follow another may join a gesture that is rushed already, and then costs no more than its
    /// comfort.
    pub fn effective(&self, flip: usize, alone: Cost) -> Cost {
        if self.follows[flip] { Cost { rushed: 0, ..alone } } else { alone }
    }
}

/// For each flip, whether it could go with one of the lever above in one gesture.
fn follows(needs: &[Need]) -> Vec<bool> {
    let follows = |need: &Need| {
        let above = need.string.above();
        needs
            .iter()
            .any(|other| Some(other.string) == above && other.to == need.to && other.window.overlaps(&need.window))
    };
    needs.iter().map(follows).collect()
}
