//! A few flips that get in each other's way, decided together.

use super::super::bench::{Bench, Choice};
use super::super::cost::Cost;
use super::super::need::Need;
use super::company;

/// Up to so many flips are decided by branch and bound.
const MOST_EXACT: usize = 12;
/// After so many looks the search stops with the best it has.
const MOST_LOOKS: usize = 60_000;
/// Rounds of bettering one flip at a time.
const MOST_ROUNDS: usize = 4;
/// How much comfort one flip may give up for the others while they are bettered one at a time.
const GIVE_WAY: u32 = 24;

/// The choices for the members of a cluster, in their order.
pub(super) struct Solved {
    pub choices: Vec<Choice>,
    pub is_exact: bool,
}

/// Decides a cluster: first flip by flip, then, where there are few enough, by branch and bound.
pub(super) fn solve(
    bench: &Bench<'_>,
    needs: &[Need],
    alone: &[Choice],
    members: &[usize],
    first_times: &[Option<usize>],
) -> Solved {
    // From the top string down, so that a gesture only ever grows at its end and no later flip can make the flips
    // chosen so far cheaper.
    let mut order = members.to_vec();
    order.sort_by_key(|&index| (needs[index].string, needs[index].window.before));
    let place_of = |index: usize| order.iter().position(|&other| other == index);
    let mut search = Search::new(
        bench,
        order.iter().map(|&index| needs[index]).collect(),
        order.iter().map(|&index| alone[index]).collect(),
        order.iter().map(|&index| first_times[index].and_then(place_of)).collect(),
    );
    search.better_one_by_one();
    if order.len() <= MOST_EXACT {
        search.branch_and_bound();
    } else {
        search.is_exact = search.best_cost == search.least_from[0];
    }
    let choices = members.iter().filter_map(|&index| place_of(index)).map(|place| search.best[place]).collect();
    Solved { choices, is_exact: search.is_exact }
}

struct Search<'a> {
    bench: &'a Bench<'a>,
    needs: Vec<Need>,
    alone: Vec<Choice>,
    first_times: Vec<Option<usize>>,
    everyone: Vec<usize>,
    /// No choice of a flip adds less than this.
    least: Vec<Cost>,
    /// No way to decide the flips from an index on adds less than this.
    least_from: Vec<Cost>,
    best: Vec<Choice>,
    best_cost: Cost,
    looks: usize,
    is_exact: bool,
}

impl<'a> Search<'a> {
    fn new(bench: &'a Bench<'a>, needs: Vec<Need>, alone: Vec<Choice>, first_times: Vec<Option<usize>>) -> Self {
        // A flip may join a neighbour's rushed gesture, which is then rushed only once.
        let can_join =
            |need: &Need| needs.iter().any(|other| other.to == need.to && other.string.is_beside(need.string));
        let least: Vec<Cost> =
            needs
                .iter()
                .zip(&alone)
                .map(|(need, choice)| {
                    if can_join(need) { Cost { comfort: bench.least_comfort(need), ..Cost::NONE } } else { choice.cost }
                })
                .collect();
        let mut least_from = vec![Cost::NONE; least.len() + 1];
        for index in (0..least.len()).rev() {
            least_from[index] = least_from[index + 1] + least[index];
        }
        let everyone: Vec<usize> = (0..needs.len()).collect();
        let best_cost = company::cost(bench, &needs, &alone, &everyone, &first_times);
        let best = alone.clone();
        Search {
            bench,
            needs,
            alone,
            first_times,
            everyone,
            least,
            least_from,
            best,
            best_cost,
            looks: 0,
            is_exact: true,
        }
    }

    fn cost(&self, choices: &[Choice], members: &[usize]) -> Cost {
        company::cost(self.bench, &self.needs, choices, members, &self.first_times)
    }

    /// Lets each flip in turn take what is best beside the others, until nothing changes.
    fn better_one_by_one(&mut self) {
        for _ in 0..MOST_ROUNDS {
            let before = self.best_cost;
            for index in 0..self.needs.len() {
                let mut limit = self.alone[index].cost;
                limit.comfort += GIVE_WAY;
                for choice in self.bench.choices(&self.needs[index], limit) {
                    let kept = std::mem::replace(&mut self.best[index], choice);
                    let cost = self.cost(&self.best, &self.everyone);
                    if cost < self.best_cost {
                        self.best_cost = cost;
                    } else {
                        self.best[index] = kept;
                    }
                }
            }
            if self.best_cost == before {
                break;
            }
        }
    }

    fn branch_and_bound(&mut self) {
        // A choice dearer than what the best found leaves, once every other flip costs its least, is never taken.
        let options: Vec<Vec<Choice>> = (0..self.needs.len())
            .map(|index| {
                let others = self.least.iter().enumerate().filter(|&(other, _)| other != index);
                let others = others.fold(Cost::NONE, |sum, (_, &least)| sum + least);
                self.bench.choices(&self.needs[index], room(self.best_cost, others))
            })
            .collect();
        let mut tried = self.best.clone();
        self.descend(0, &options, &mut tried);
    }

    fn descend(&mut self, depth: usize, options: &[Vec<Choice>], tried: &mut Vec<Choice>) {
        for choice in &options[depth] {
            if self.looks >= MOST_LOOKS {
                self.is_exact = false;
                return;
            }
            self.looks += 1;
            tried[depth] = *choice;
            let cost = self.cost(tried, &self.everyone[..=depth]);
            if cost + self.least_from[depth + 1] >= self.best_cost {
                continue;
            }
            if depth + 1 == self.needs.len() {
                self.best_cost = cost;
                self.best.clone_from(tried);
            } else {
                self.descend(depth + 1, options, tried);
            }
        }
    }
}

/// What one flip may cost: no more than the best found leaves after the others. Rushed gestures can be shared, so a
/// rushed one more is allowed, and comfort is then no limit.
fn room(best: Cost, others: Cost) -> Cost {
    let rushed = best.rushed.saturating_sub(others.rushed);
    let comfort = if rushed == 0 { best.comfort.saturating_sub(others.comfort) } else { u32::MAX };
    Cost { rushed: rushed + u32::from(rushed > 0), comfort, ..Cost::NONE }
}
