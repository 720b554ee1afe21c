//! Dynamic programming over the plucks of one component.
//!
//! A state is where the component's levers stand and when each of its strings was last plucked; for a loop also where each began.
//! Of two states the one that nothing can make up for is left out. On a harp tuned to a major scale that leaves a handful; on any
//! other, and in a thick enough passage, it can leave more than anyone can look at, and then [`Crowd`] says what becomes of them.

#[cfg(test)]
mod tests;

use std::collections::BTreeSet;

use super::super::bench::Bench;
use super::super::cost::Cost;
use super::super::demand::{Component, Ways, is_respelled};
use super::super::need::StringState;
use super::super::{EndOfPiece, FlipName};
use super::{Price, Strings, free_start, resets};
use crate::harp::{LeverState, StringNumber};
use crate::score::Stroke;
use crate::time::ScoreTime;

/// More states than any usual passage needs.
const MOST_STATES: usize = 128;
/// However long a component, so many are kept.
const FEWEST_STATES: usize = 16;
/// So many may be kept over a whole component.
const MOST_KEPT: usize = 100_000;

/// What becomes of the dearest states where there are too many.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in super::super) enum Crowd {
    /// They are dropped: what is found can be played, but may not be the best.
    Dropped,
    /// They are merged into states from which everything is possible that is possible from any of them, at no higher cost: what
    /// is found can't always be played, but nothing that can be played costs less.
    Merged,
}

/// A way to sound one pluck; none where it is left out.
pub(in super::super) type Way = Option<(StringNumber, LeverState)>;

/// A state reached, with the cheapest way to it.
#[derive(Clone)]
struct Node {
    strings: Vec<StringState>,
    /// Where each string stood at the first; only kept for a loop, which has to come back there.
    began: Vec<Option<LeverState>>,
    /// Whether it stands for several states that began differently.
    is_merged: bool,
    cost: Cost,
    /// The last step of the way here.
    step: usize,
}

/// How one pluck was sounded, and the step before.
struct Step {
    before: usize,
    way: Way,
}

pub(in super::super) struct Search<'a> {
    bench: &'a Bench<'a>,
    ways: &'a Ways,
    component: &'a Component,
    avoided: &'a BTreeSet<FlipName>,
    price: &'a dyn Price,
    crowd: Crowd,
    /// So many states are kept.
    most: usize,
    steps: Vec<Step>,
    /// When the component is next plucked; none at its end.
    next: Option<ScoreTime>,
    /// Whether no state was dropped or merged.
    pub is_exact: bool,
}

impl<'a> Search<'a> {
    pub fn new(
        bench: &'a Bench<'a>,
        ways: &'a Ways,
        component: &'a Component,
        avoided: &'a BTreeSet<FlipName>,
        price: &'a dyn Price,
        crowd: Crowd,
    ) -> Search<'a> {
        let steps = vec![Step { before: 0, way: None }];
        let plucks = component.moments.iter().map(Vec::len).sum::<usize>().max(1);
        let most = (MOST_KEPT / plucks).clamp(FEWEST_STATES, MOST_STATES);
        Search { bench, ways, component, avoided, price, crowd, most, steps, next: None, is_exact: true }
    }

    /// The cost of the best way through all plucks and its last step.
    pub fn run(&mut self) -> (Cost, usize) {
        let strings = free_start(self.bench, &self.component.strings);
        let is_loop = self.bench.request.ending == EndOfPiece::Loop;
        let began = strings.iter().filter(|_| is_loop).map(|string| string.lever).collect();
        let mut front = vec![Node { strings, began, is_merged: false, cost: Cost::NONE, step: 0 }];
        for moment in 0..self.component.moments.len() {
            for place in 0..self.component.moments[moment].len() {
                let pluck = self.component.moments[moment][place];
                let next = self.component.next_pluck(moment, place);
                self.next = next.map(|next| self.bench.request.performance.plucks()[next].at);
                front = self.pass(&front, pluck, &self.ways_of(moment, pluck));
                if front.len() > self.most {
                    self.is_exact = false;
                    front = match self.crowd {
                        Crowd::Dropped => cheapest(front, self.most),
                        Crowd::Merged => self.merged(front),
                    };
                }
            }
        }
        let ends = front.iter().map(|node| (node.cost + self.reset_cost(node), node.step));
        ends.min().unwrap_or((Cost::NONE, 0))
    }

    /// Each pluck of the component with every way to sound it.
    pub fn ways_of_all(&self) -> Vec<(usize, Vec<Way>)> {
        let moments = self.component.moments.iter().enumerate();
        let plucks = moments.flat_map(|(moment, plucks)| plucks.iter().map(move |&pluck| (moment, pluck)));
        plucks.map(|(moment, pluck)| (pluck, self.ways_of(moment, pluck))).collect()
    }

    /// Every way to sound a pluck, its written letter first. A note is left out only where plucks of the same instant might be in
    /// its way: nothing else can ever make it unplayable.
    fn ways_of(&self, moment: usize, index: usize) -> Vec<Way> {
        let pluck = &self.bench.request.performance.plucks()[index];
        let respelled = |way: &Way| way.is_some_and(|(string, _)| is_respelled(self.bench.request.harp, pluck, string));
        let mut ways: Vec<Way> = self.ways.to_sound(pluck.pitch.midi()).iter().copied().map(Some).collect();
        ways.sort_by_key(respelled);
        let wishes = &self.bench.wishes;
        if let Some(wished) = wishes.string_of(index) {
            ways.retain(|way| way.is_some_and(|(string, _)| string == wished));
        }
        if pluck.stroke == Stroke::Swept {
            // The hand sweeps over every string: no other one can do instead.
            ways.retain(|way| !respelled(way));
        }
        let is_crowded = self.component.is_crowded(moment, self.bench.request.performance);
        if is_crowded || ways.is_empty() || wishes.may_leave_out(index, pluck.at) {
            ways.push(None);
        }
        ways
    }

    /// Goes past one pluck from every state.
    fn pass(&mut self, front: &[Node], pluck: usize, ways: &[Way]) -> Vec<Node> {
        let mut reached = Vec::new();
        for node in front {
            for &way in ways {
                if let Some(next) = self.after(node, pluck, way) {
                    self.keep_if_undominated(&mut reached, next, way);
                }
            }
        }
        if reached.is_empty() {
            // Every way is barred by what was left out of the search, or by flips that are to be avoided.
            for node in front {
                if let Some(next) = self.after(node, pluck, None) {
                    self.keep_if_undominated(&mut reached, next, None);
                }
            }
        }
        reached
    }

    fn after(&self, node: &Node, pluck: usize, way: Way) -> Option<Node> {
        let mut next = node.clone();
        let Some((string, to)) = way else {
            next.cost += Cost::UNPLAYABLE;
            return Some(next);
        };
        let plucks = self.bench.request.performance.plucks();
        if is_respelled(self.bench.request.harp, &plucks[pluck], string) {
            next.cost += Cost::RESPELLED;
        }
        let place = self.component.strings.iter().position(|&other| other == string)?;
        let state = &mut next.strings[place];
        match state.lever {
            Some(lever) if lever != to => {
                let need = self.bench.needs.of_pluck(string, to, state.last, pluck);
                if self.bench.wishes.forbids(&need.name) || self.avoided.contains(&need.name) {
                    return None;
                }
                next.cost += Cost::FLIP + self.price.of(self.bench, &need)?;
            }
            Some(_) => {}
            None => {
                if let Some(began) = next.began.get_mut(place) {
                    *began = Some(to);
                }
            }
        }
        *state = state.plucked(to, pluck, plucks);
        Some(next)
    }

    fn keep_if_undominated(&mut self, reached: &mut Vec<Node>, mut node: Node, way: Way) {
        if reached.iter().any(|other| self.dominates(other, &node)) {
            return;
        }
        reached.retain(|other| !self.dominates(&node, other));
        if self.crowd == Crowd::Dropped {
            self.steps.push(Step { before: node.step, way });
            node.step = self.steps.len() - 1;
        }
        reached.push(node);
    }

    /// Whether nothing that can follow `b` would be cheaper than after `a`: the levers stand alike, and each string has been silent
    /// for at least as long, or `b` has more rushed gestures than longer silences could save, one for each string.
    fn dominates(&self, a: &Node, b: &Node) -> bool {
        let begins_anyhow = a.began.is_empty() || a.is_merged;
        if !begins_anyhow && (b.is_merged || a.began != b.began) {
            return false;
        }
        let mut shorter = 0;
        for (a, b) in a.strings.iter().zip(&b.strings) {
            match (a.lever, b.lever) {
                (None, None) => {}
                // What the string's first pluck will ask of a loop's end isn't known yet.
                (None, Some(_)) if begins_anyhow => {}
                (a_lever, b_lever) if a_lever != b_lever => return false,
                _ if self.silent_for_longer(a.last, b.last) => {}
                _ if self.has_room(a.last) => shorter += 1,
                _ => return false,
            }
        }
        match shorter {
            0 => a.cost <= b.cost,
            _ => {
                let most = a.cost.rushed + shorter * self.price.shares();
                (a.cost.unplayable, most) < (b.cost.unplayable, b.cost.rushed)
            }
        }
    }

    /// Whether a flip finds room between a string's last pluck and the next one of the component.
    fn has_room(&self, last: Option<usize>) -> bool {
        let plucks = self.bench.request.performance.plucks();
        match (last, self.next) {
            (Some(last), Some(next)) => plucks[last].at < next,
            _ => true,
        }
    }

    /// Whether a string last plucked by `a` has been silent for at least as long as if by `b`.
    fn silent_for_longer(&self, a: Option<usize>, b: Option<usize>) -> bool {
        let plucks = self.bench.request.performance.plucks();
        match (a, b) {
            (None, _) => true,
            (Some(_), None) => false,
            (Some(a), Some(b)) if a == b => true,
            (Some(a), Some(b)) => {
                // A string has always sounded before the next instant at which anything is plucked.
                let over = |pluck| self.bench.needs.sounding.over(pluck);
                let earlier = plucks[a].at < plucks[b].at || plucks[a].at == plucks[b].at && over(a) <= over(b);
                earlier && plucks[a].written_end <= plucks[b].written_end
            }
        }
    }

    /// First states whose levers stand alike become one, then the dearest of those that are left.
    fn merged(&self, mut front: Vec<Node>) -> Vec<Node> {
        let levers = |node: &Node| node.strings.iter().map(|string| string.lever).collect::<Vec<_>>();
        front.sort_by_cached_key(|node| (levers(node), node.cost));
        let alike = front.chunk_by(|a, b| levers(a) == levers(b));
        let mut merged: Vec<Node> = alike.filter_map(|alike| self.merged_into_one(alike)).collect();
        if merged.len() > self.most {
            merged.sort_by_key(|node| node.cost);
            let dearest = merged.split_off(self.most.saturating_sub(1));
            merged.extend(self.merged_into_one(&dearest));
        }
        merged
    }

    /// A state from which everything is possible that is possible from any of these, the cheapest of which comes first.
    fn merged_into_one(&self, nodes: &[Node]) -> Option<Node> {
        let (first, others) = nodes.split_first()?;
        let mut one = first.clone();
        one.is_merged |= !others.is_empty();
        for other in others {
            one.cost = one.cost.min(other.cost);
            for (string, other) in one.strings.iter_mut().zip(&other.strings) {
                *string = match () {
                    () if string.lever != other.lever => StringState { lever: None, last: None },
                    () if self.silent_for_longer(string.last, other.last) => *string,
                    () if self.silent_for_longer(other.last, string.last) => *other,
                    () => StringState { last: None, ..*string },
                };
            }
        }
        Some(one)
    }

    /// What it costs to bring the levers back at the end. What has been merged may have begun anywhere.
    fn reset_cost(&self, node: &Node) -> Cost {
        if self.bench.request.ending == EndOfPiece::Stop || node.is_merged {
            return Cost::NONE;
        }
        let start: Vec<StringState> = node.began.iter().map(|&lever| StringState { lever, last: None }).collect();
        let resets = resets(self.bench, &self.component.strings, &node.strings, &start);
        // A reset without room is made after the last note, where nothing hurries it.
        let cost = resets.map(|need| Cost::FLIP + self.price.of(self.bench, &need).unwrap_or(Cost::NONE));
        cost.fold(Cost::NONE, |sum, cost| sum + cost)
    }

    pub fn write_back(&self, last: usize, strings: &mut Strings) {
        let mut step = last;
        for &pluck in self.component.moments.iter().flatten().rev() {
            strings[pluck] = self.steps[step].way;
            step = self.steps[step].before;
        }
    }
}

fn cheapest(mut front: Vec<Node>, most: usize) -> Vec<Node> {
    front.sort_by_key(|node| node.cost);
    front.truncate(most);
    front
}
