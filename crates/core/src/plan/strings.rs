//! Which string plays each note: an exact search along each component of strings that share notes.
//!
//! Dynamic programming over the moments at which a component's strings are plucked. A state is where its levers stand
//! and when each string was last plucked; a flip costs what its best place alone costs, so the sum over all components
//! is also a bound that no plan can beat (flips can only get in each other's way; see [`super::placement`] for the one
//! exception).

use std::collections::BTreeSet;

use super::bench::Bench;
use super::cost::Cost;
use super::demand::{Component, Ways, components, is_respelled};
use super::need::{Need, StringState};
use super::{EndOfPiece, FlipName};
use crate::harp::{LeverState, StringNumber};
use crate::score::Stroke;

/// More states than any real passage needs; beyond it the dearest are dropped and the answer is not proved the best.
const MOST_STATES: usize = 256;

/// The string and lever state of each pluck, none for those that can't be played.
pub(super) type Strings = Vec<Option<(StringNumber, LeverState)>>;

/// A choice of strings for the whole piece.
pub(super) struct StringChoice {
    pub strings: Strings,
    /// What the choice costs if no two flips get in each other's way.
    pub cost: Cost,
    /// Whether nothing was left out of the search.
    pub is_exact: bool,
    /// The components, each with what it costs by itself.
    pub components: Vec<(Component, Cost)>,
}

/// What a flip is reckoned to cost while strings are chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Price {
    /// Its best place alone.
    BestAlone,
    /// The least comfort cost of any place, rushed or not: no flip costs less, whatever gesture it joins.
    LeastComfort,
}

/// The least that unplayable notes, work and comfort can come to in any plan, rushing left aside; none where something was
/// left out of the search.
pub(super) fn least_without_rushing(bench: &Bench<'_>, ways: &Ways, choice: &StringChoice) -> Option<Cost> {
    let mut sum = Cost { unplayable: choice.cost.unplayable, ..Cost::NONE };
    let mut strings = choice.strings.clone();
    for (component, own) in &choice.components {
        if *own == Cost::NONE {
            continue;
        }
        let (nothing, price) = (BTreeSet::new(), Price::LeastComfort);
        let (cost, is_exact) = choose_within(bench, ways, component, &nothing, price, &mut strings)?;
        if !is_exact || cost.unplayable != own.unplayable {
            return None;
        }
        sum += cost.without(Cost { unplayable: cost.unplayable, ..Cost::NONE });
    }
    Some(sum)
}

/// Chooses the string of every pluck.
pub(super) fn choose(bench: &Bench<'_>, ways: &Ways) -> StringChoice {
    let request = bench.request;
    let plucks = request.performance.plucks();
    let mut choice =
        StringChoice { strings: vec![None; plucks.len()], cost: Cost::NONE, is_exact: true, components: Vec::new() };
    let silent = plucks.iter().filter(|pluck| ways.to_sound(pluck.pitch.midi()).is_empty()).count();
    choice.cost.unplayable = u32::try_from(silent).unwrap_or(u32::MAX);
    for component in components(request.harp, ways, request.performance) {
        let mut own = Cost::NONE;
        let (nothing, price) = (BTreeSet::new(), Price::BestAlone);
        if let Some((cost, is_exact)) = choose_within(bench, ways, &component, &nothing, price, &mut choice.strings) {
            own = cost;
            choice.cost += cost;
            choice.is_exact &= is_exact;
        }
        choice.components.push((component, own));
    }
    choice
}

/// Chooses the strings of one component's plucks, making none of the flips in `avoided`: what they cost, and whether
/// nothing was left out of the search. None, and nothing is written, where that can't be done.
pub(super) fn choose_within(
    bench: &Bench<'_>,
    ways: &Ways,
    component: &Component,
    avoided: &BTreeSet<FlipName>,
    price: Price,
    strings: &mut Strings,
) -> Option<(Cost, bool)> {
    let starts = match bench.request.ending {
        EndOfPiece::Stop => vec![free_start(bench, component)],
        EndOfPiece::Loop => every_start(bench, component),
    };
    let mut best: Option<(Cost, Search<'_>, usize)> = None;
    for start in starts {
        let mut search = Search::new(bench, ways, component, avoided, price);
        if let Some((cost, last)) = search.run(start)
            && best.as_ref().is_none_or(|(least, ..)| cost < *least)
        {
            best = Some((cost, search, last));
        }
    }
    let (cost, search, last) = best?;
    search.write_back(last, strings);
    Some((cost, search.is_exact))
}

/// Levers as the player has preset them, the others free to be set.
fn free_start(bench: &Bench<'_>, component: &Component) -> Vec<StringState> {
    component.strings.iter().map(|&string| StringState { lever: bench.wishes.preset(string), last: None }).collect()
}

/// Every start from which a loop can come back to itself.
fn every_start(bench: &Bench<'_>, component: &Component) -> Vec<Vec<StringState>> {
    let mut starts = vec![Vec::new()];
    for (state, &string) in free_start(bench, component).iter().zip(&component.strings) {
        let fitted = bench.request.harp.string(string).is_some_and(|string| string.lever.is_fitted());
        let levers = match state.lever {
            Some(lever) => vec![lever],
            None if fitted => vec![LeverState::Down, LeverState::Up],
            None => vec![LeverState::Down],
        };
        starts = starts
            .into_iter()
            .flat_map(|start: Vec<StringState>| {
                levers.iter().map(move |&lever| {
                    let mut start = start.clone();
                    start.push(StringState { lever: Some(lever), last: None });
                    start
                })
            })
            .collect();
    }
    starts
}

/// One string chosen for one pluck.
type Assignment = Vec<Option<(StringNumber, LeverState)>>;

/// A state reached, with the cheapest way to it.
struct Node {
    strings: Vec<StringState>,
    cost: Cost,
    parent: usize,
    assignment: Assignment,
}

struct Search<'a> {
    bench: &'a Bench<'a>,
    ways: &'a Ways,
    component_strings: Vec<StringNumber>,
    moments: Vec<Vec<usize>>,
    nodes: Vec<Node>,
    is_exact: bool,
    avoided: &'a BTreeSet<FlipName>,
    price: Price,
}

impl<'a> Search<'a> {
    fn new(
        bench: &'a Bench<'a>,
        ways: &'a Ways,
        component: &Component,
        avoided: &'a BTreeSet<FlipName>,
        price: Price,
    ) -> Search<'a> {
        Search {
            bench,
            ways,
            component_strings: component.strings.clone(),
            moments: component.moments.clone(),
            nodes: Vec::new(),
            is_exact: true,
            avoided,
            price,
        }
    }

    /// Searches from a start; the cost of the best way and the node it ends in, none where a loop can't begin so.
    fn run(&mut self, start: Vec<StringState>) -> Option<(Cost, usize)> {
        let reset_to: Option<Vec<StringState>> = (self.bench.request.ending == EndOfPiece::Loop).then(|| start.clone());
        self.nodes.push(Node { strings: start, cost: Cost::NONE, parent: 0, assignment: Vec::new() });
        let mut front = 0..1;
        for moment in 0..self.moments.len() {
            let mut reached: Vec<Node> = Vec::new();
            for parent in front {
                for assignment in self.assignments(moment) {
                    if let Some(node) = self.step(parent, moment, assignment) {
                        self.keep_if_undominated(&mut reached, node);
                    }
                }
            }
            if reached.len() > MOST_STATES {
                reached.sort_by_key(|node| node.cost);
                reached.truncate(MOST_STATES);
                self.is_exact = false;
            }
            let first = self.nodes.len();
            self.nodes.append(&mut reached);
            front = first..self.nodes.len();
        }
        front
            .map(|node| (self.nodes[node].cost + self.reset_cost(node, reset_to.as_deref()), node))
            .min_by_key(|&(cost, node)| (cost, node))
    }

    /// Every way to give the plucks of a moment their strings, the written letters first. A note is left out only where
    /// plucks of the same instant might be in its way: nothing else can ever make it unplayable.
    fn assignments(&self, moment: usize) -> Vec<Assignment> {
        let plucks = self.bench.request.performance.plucks();
        let group = &self.moments[moment];
        let instant = |moment: usize| self.moments.get(moment).map(|group| plucks[group[0]].at);
        let crowded = group.len() > 1
            || instant(moment) == instant(moment + 1)
            || moment > 0 && instant(moment) == instant(moment - 1);
        let mut assignments: Vec<Assignment> = vec![Vec::with_capacity(group.len())];
        for &index in group {
            let pluck = &plucks[index];
            let mut ways: Vec<_> = self.ways.to_sound(pluck.pitch.midi()).iter().copied().map(Some).collect();
            ways.sort_by_key(|way| way.is_some_and(|(string, _)| is_respelled(self.bench.request.harp, pluck, string)));
            let wishes = &self.bench.wishes;
            if let Some(wished) = wishes.string_of(index) {
                ways.retain(|way| way.is_some_and(|(string, _)| string == wished));
            }
            if pluck.stroke == Stroke::Swept {
                // The hand sweeps over every string: no other one can do instead.
                ways.retain(|way| way.is_some_and(|(string, _)| !is_respelled(self.bench.request.harp, pluck, string)));
            }
            if crowded || ways.is_empty() || wishes.may_leave_out(index, pluck.at) {
                ways.push(None);
            }
            let extended = assignments.iter().flat_map(|assignment| {
                ways.iter().filter(|way| fits(assignment, **way)).map(|&way| {
                    let mut longer = assignment.clone();
                    longer.push(way);
                    longer
                })
            });
            assignments = extended.collect();
        }
        assignments
    }

    fn step(&self, parent: usize, moment: usize, assignment: Assignment) -> Option<Node> {
        let plucks = self.bench.request.performance.plucks();
        let node = &self.nodes[parent];
        let mut strings = node.strings.clone();
        let mut cost = node.cost;
        for (&index, way) in self.moments[moment].iter().zip(&assignment) {
            let Some((string, to)) = *way else {
                cost += Cost::UNPLAYABLE;
                continue;
            };
            if is_respelled(self.bench.request.harp, &plucks[index], string) {
                cost += Cost::RESPELLED;
            }
            let place = self.component_strings.iter().position(|&other| other == string)?;
            let state = &mut strings[place];
            let begins_loop = self.bench.request.ending == EndOfPiece::Loop && state.last.is_none();
            if begins_loop && state.lever != Some(to) && self.bench.wishes.preset(string).is_none() {
                return None;
            }
            if state.lever.is_some_and(|lever| lever != to) {
                let need = self.bench.needs.of_pluck(string, to, state.last, index);
                if self.bench.wishes.forbids(&need.name) || self.avoided.contains(&need.name) {
                    return None;
                }
                cost += Cost::FLIP + self.price_of(&need)?;
            }
            *state = state.plucked(to, index, plucks);
        }
        Some(Node { strings, cost, parent, assignment })
    }

    /// What a flip costs by itself; none where there is no room for it.
    fn price_of(&self, need: &Need) -> Option<Cost> {
        match self.price {
            Price::BestAlone => self.bench.best_alone(need).map(|choice| choice.cost),
            Price::LeastComfort if self.bench.has_room(need) => {
                Some(Cost { comfort: self.bench.least_comfort(need), ..Cost::NONE })
            }
            Price::LeastComfort => None,
        }
    }

    fn keep_if_undominated(&self, reached: &mut Vec<Node>, node: Node) {
        if reached.iter().any(|other| self.dominates(other, &node)) {
            return;
        }
        reached.retain(|other| !self.dominates(&node, other));
        reached.push(node);
    }

    /// Whether nothing that can follow `b` would be cheaper than after `a`: the levers stand alike, and each string
    /// has been silent for at least as long.
    fn dominates(&self, a: &Node, b: &Node) -> bool {
        let plucks = self.bench.request.performance.plucks();
        a.cost <= b.cost
            && a.strings.iter().zip(&b.strings).all(|(a, b)| match (a.last, b.last) {
                (None, _) if a.lever.is_none() => true,
                _ if a.lever != b.lever => false,
                (None, _) => true,
                (Some(_), None) => false,
                (Some(a), Some(b)) => {
                    // A string has always sounded before the next instant at which anything is plucked.
                    let over = |pluck| self.bench.needs.sounding.over(pluck);
                    let earlier = plucks[a].at < plucks[b].at || plucks[a].at == plucks[b].at && over(a) <= over(b);
                    earlier && plucks[a].written_end <= plucks[b].written_end
                }
            })
    }

    /// What it costs to bring the levers back at the end.
    fn reset_cost(&self, node: usize, start: Option<&[StringState]>) -> Cost {
        let mut cost = Cost::NONE;
        for need in resets(self.bench, &self.component_strings, &self.nodes[node].strings, start.unwrap_or(&[])) {
            // A reset without room is made after the last note, where nothing hurries it.
            cost += Cost::FLIP + self.price_of(&need).unwrap_or(Cost::NONE);
        }
        cost
    }

    fn write_back(&self, last: usize, strings: &mut Strings) {
        let mut node = last;
        for group in self.moments.iter().rev() {
            for (&pluck, &way) in group.iter().zip(&self.nodes[node].assignment) {
                strings[pluck] = way;
            }
            node = self.nodes[node].parent;
        }
    }
}

/// Whether one more string goes with those already chosen for the same moment: another string, or the same one in the
/// same state, plucked once for two written notes.
fn fits(assignment: &Assignment, way: Option<(StringNumber, LeverState)>) -> bool {
    let Some((string, state)) = way else { return true };
    assignment.iter().flatten().all(|&(other, other_state)| other != string || other_state == state)
}

/// The flips that bring strings back to where they began.
pub(super) fn resets<'a>(
    bench: &'a Bench<'_>,
    numbers: &'a [StringNumber],
    end: &'a [StringState],
    start: &'a [StringState],
) -> impl Iterator<Item = Need> + 'a {
    numbers.iter().zip(end).zip(start).filter_map(|((&string, end), start)| match (end.lever, start.lever) {
        (Some(ends), Some(began)) if ends != began => bench.needs.of_reset(string, began, end.last),
        _ => None,
    })
}

/// The flips that a choice of strings needs, in the order of the plucks that need them, and where every string begins
/// (none where the choice leaves it free).
pub(super) fn needs_of(bench: &Bench<'_>, strings: &Strings) -> (Vec<Need>, Vec<Option<LeverState>>) {
    let request = bench.request;
    let numbers: Vec<StringNumber> = request.harp.numbered().map(|(number, _)| number).collect();
    let whole = Component { strings: numbers.clone(), moments: Vec::new() };
    let mut states = free_start(bench, &whole);
    let mut start: Vec<StringState> = states.clone();
    let mut needs = Vec::new();
    for (index, way) in strings.iter().enumerate() {
        let Some((string, to)) = *way else { continue };
        let state = &mut states[string.index()];
        match state.lever {
            None => start[string.index()].lever = Some(to),
            Some(lever) if lever != to => needs.push(bench.needs.of_pluck(string, to, state.last, index)),
            Some(_) => {}
        }
        *state = state.plucked(to, index, request.performance.plucks());
    }
    if request.ending == EndOfPiece::Loop {
        needs.extend(resets(bench, &numbers, &states, &start));
    }
    (needs, start.into_iter().map(|state| state.lever).collect())
}
