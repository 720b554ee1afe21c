//! Which string plays each note: an exact search along each component of strings that share notes.
//!
//! A flip costs what its best place alone costs, so the sum over all components is also a bound that no plan can beat (flips
//! can only get in each other's way; see [`super::placement`] for the one exception). Where a component has too many states to
//! look at them all, a second search that merges states instead of dropping them gives the bound.

mod search;

use std::collections::BTreeSet;
use std::rc::Rc;

use super::bench::Bench;
use super::cost::Cost;
use super::demand::{Component, Ways, components};
use super::need::{Need, StringState};
use super::{EndOfPiece, FlipName};
use crate::harp::{LeverState, StringNumber};
use search::{Crowd, Search};

/// The string and lever state of each pluck, none for those that can't be played.
pub(super) type Strings = Vec<Option<(StringNumber, LeverState)>>;

/// A choice of strings for the whole piece.
pub(super) struct StringChoice {
    pub strings: Strings,
    /// What the choice costs at its price.
    pub cost: Cost,
    /// No choice costs less; where everything could be looked at, that is `cost`.
    pub least: Cost,
    /// The components, each with what it costs by itself.
    pub components: Vec<(Rc<Component>, Cost)>,
}

/// What flips are reckoned to cost while strings are chosen.
pub(super) trait Price {
    /// What a flip adds besides its work; none where there is no room for it.
    fn of(&self, bench: &Bench<'_>, need: &Need) -> Option<Cost>;

    /// In how many shares it counts a rushed gesture.
    fn shares(&self) -> u32 {
        1
    }
}

/// Each flip at its best place alone.
pub(super) struct BestAlone;

impl Price for BestAlone {
    fn of(&self, bench: &Bench<'_>, need: &Need) -> Option<Cost> {
        bench.best_alone(need).map(|choice| choice.cost)
    }
}

/// The least comfort cost of any place, rushed or not: no flip costs less, whatever gesture it joins.
pub(super) struct LeastComfort;

impl Price for LeastComfort {
    fn of(&self, bench: &Bench<'_>, need: &Need) -> Option<Cost> {
        bench.has_room(need).then(|| Cost { comfort: bench.least_comfort(need), ..Cost::NONE })
    }
}

/// Chooses the string of every pluck, each flip at its best place alone.
pub(super) fn choose(bench: &Bench<'_>, ways: &Ways) -> StringChoice {
    let request = bench.request;
    let components = components(request.harp, ways, request.performance);
    let strings = vec![None; request.performance.plucks().len()];
    chosen(bench, ways, components.into_iter().map(|component| (Rc::new(component), None)), strings, &BestAlone)
}

/// Chooses anew at another price. Strings that need no flips stay as they are.
pub(super) fn choose_again(bench: &Bench<'_>, ways: &Ways, choice: &StringChoice, price: &dyn Price) -> StringChoice {
    let components = choice.components.iter().map(|(component, own)| {
        let is_free = *own == Cost::NONE;
        (Rc::clone(component), is_free.then_some(Cost::NONE))
    });
    chosen(bench, ways, components, choice.strings.clone(), price)
}

/// Chooses for the components whose cost isn't known.
fn chosen(
    bench: &Bench<'_>,
    ways: &Ways,
    components: impl Iterator<Item = (Rc<Component>, Option<Cost>)>,
    strings: Strings,
    price: &dyn Price,
) -> StringChoice {
    let silent = silent(bench, ways);
    let mut choice = StringChoice { strings, cost: silent, least: silent, components: Vec::new() };
    for (component, known) in components {
        let (own, is_exact) = match known {
            Some(own) => (own, true),
            None => choose_within(bench, ways, &component, (price, &BTreeSet::new()), &mut choice.strings),
        };
        choice.cost += own;
        choice.least += if is_exact { own } else { least_within(bench, ways, &component, price) };
        choice.components.push((component, own));
    }
    choice
}

/// Chooses the strings of one component's plucks at a price, making none of some flips: what they cost, and whether nothing was
/// left out of the search.
pub(super) fn choose_within(
    bench: &Bench<'_>,
    ways: &Ways,
    component: &Component,
    (price, avoided): (&dyn Price, &BTreeSet<FlipName>),
    strings: &mut Strings,
) -> (Cost, bool) {
    let mut search = Search::new(bench, ways, component, avoided, price, Crowd::Dropped);
    let (cost, last) = search.run();
    search.write_back(last, strings);
    (cost, search.is_exact)
}

/// Every choice of strings for the whole piece, where there are no more than `most`.
pub(super) fn every_choice(bench: &Bench<'_>, ways: &Ways, choice: &StringChoice, most: usize) -> Option<Vec<Strings>> {
    let mut choices = vec![vec![None; choice.strings.len()]];
    for (component, _) in &choice.components {
        let avoided = BTreeSet::new();
        let search = Search::new(bench, ways, component, &avoided, &BestAlone, Crowd::Dropped);
        for (pluck, ways) in search.ways_of_all() {
            if choices.len().checked_mul(ways.len())? > most {
                return None;
            }
            let with = |strings: &Strings, way| {
                let mut strings = strings.clone();
                strings[pluck] = way;
                strings
            };
            choices = choices.iter().flat_map(|strings| ways.iter().map(|&way| with(strings, way))).collect();
        }
    }
    choices.retain(|strings| can_be_made(bench, strings));
    Some(choices)
}

/// Whether every flip that a choice of strings needs finds room, and the player allows it.
fn can_be_made(bench: &Bench<'_>, strings: &Strings) -> bool {
    let (needs, _) = needs_of(bench, strings);
    // The reset of a loop that finds no room is made after the last note.
    needs.iter().all(|need| !bench.wishes.forbids(&need.name) && (need.pluck.is_none() || bench.has_room(need)))
}

/// The least that the strings of a component can cost at a price.
fn least_within(bench: &Bench<'_>, ways: &Ways, component: &Component, price: &dyn Price) -> Cost {
    Search::new(bench, ways, component, &BTreeSet::new(), price, Crowd::Merged).run().0
}

/// What the notes cost that no string can sound.
fn silent(bench: &Bench<'_>, ways: &Ways) -> Cost {
    let plucks = bench.request.performance.plucks();
    let silent = plucks.iter().filter(|pluck| ways.to_sound(pluck.pitch.midi()).is_empty()).count();
    Cost { unplayable: u32::try_from(silent).unwrap_or(u32::MAX), ..Cost::NONE }
}

/// Levers as the player has preset them, the others free to be set.
fn free_start(bench: &Bench<'_>, strings: &[StringNumber]) -> Vec<StringState> {
    strings.iter().map(|&string| StringState { lever: bench.wishes.preset(string), last: None }).collect()
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
    let mut states = free_start(bench, &numbers);
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
