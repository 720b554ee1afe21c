//! The exact decision of a cluster: a sweep through its places in time.
//!
//! A state is which flips are made, where each hand last moved a lever since it last plucked, and where flips that come
//! again on a repeat were made the first time. Nothing else of the past matters to what follows, so of two ways to one
//! state only the cheaper is kept; and a state is dropped from which not even the least that the open flips must add, at the
//! places that are left to them, beats the best plan known.

use std::collections::HashMap;

use foldhash::fast::FixedState;

use super::super::bench::Choice;
use super::super::comfort::DIFFERENT_ON_REPEAT;
use super::super::cost::Cost;
use super::super::hand_track::Timing;
use super::super::places::Place;
use super::cluster::Cluster;
use crate::harp::StringNumber;
use crate::score::{BarIndex, Hand};
use crate::time::Ticks;

/// Flips are kept as bits.
const MOST_FLIPS: usize = 128;

/// How much is tried before a sweep gives up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in super::super) enum Effort {
    /// While strings are still tried.
    Quick,
    /// Once, for the strings that are settled on.
    Thorough,
}

impl Effort {
    /// States at one place.
    fn most_states(self) -> usize {
        match self {
            Effort::Quick => 2_000,
            Effort::Thorough => 6_000,
        }
    }

    /// Sets of flips looked at in one sweep.
    fn most_looks(self) -> usize {
        match self {
            Effort::Quick => 12_000,
            Effort::Thorough => 60_000,
        }
    }
}

/// What a sweep finds.
pub(super) enum Outcome {
    /// The best choices of all.
    Better(Vec<Choice>),
    /// Nothing beats what was known.
    NoneBetter,
    /// There was too much to try.
    TooMany,
}

/// A written place and hand.
type Written = (BarIndex, Ticks, Hand);

#[derive(Clone, PartialEq, Eq, Hash)]
struct Key {
    made: u128,
    /// For each hand, the place of its last movement if it has not plucked since.
    last: [Option<usize>; 2],
    /// First-time flips whose repeats are still open, with where they were made.
    remembered: Vec<(usize, Written)>,
}

struct State {
    key: Key,
    cost: Cost,
    /// The last step that made flips, and what it made.
    step: Option<usize>,
}

/// Flips made at one place, and the step before.
struct Step {
    before: Option<usize>,
    made: Vec<(usize, Choice)>,
}

/// The best choices that cost less than `known`.
pub(super) fn better_than(cluster: &Cluster<'_>, options: &[Vec<Choice>], known: Cost, effort: Effort) -> Outcome {
    if options.len() > MOST_FLIPS {
        return Outcome::TooMany;
    }
    let mut at_place: Vec<(usize, Choice)> = options
        .iter()
        .enumerate()
        .flat_map(|(flip, choices)| choices.iter().map(move |&choice| (flip, choice)))
        .collect();
    // From the top string down: the first lever of a gesture bears its rushing, and those it could be joined by come after
    // it, so a set of flips at one place never gets cheaper by growing.
    at_place.sort_by_key(|(flip, choice)| (choice.place.at, cluster.needs[*flip].string, *flip, choice.hand));
    let at_places: Vec<&[(usize, Choice)]> = at_place.chunk_by(|(_, a), (_, b)| a.place.at == b.place.at).collect();
    let mut sweep = Sweep {
        cluster,
        least_from: least_from(cluster, options.len(), &at_places),
        known,
        effort,
        places: Vec::new(),
        steps: Vec::new(),
        looks: 0,
        too_many: false,
    };
    let start =
        State { key: Key { made: 0, last: [None, None], remembered: Vec::new() }, cost: Cost::NONE, step: None };
    let mut states = vec![start];
    let all = all_made(options.len());
    for here in at_places {
        states = sweep.pass(states, here[0].1.place, here);
        if sweep.too_many {
            return Outcome::TooMany;
        }
    }
    let best =
        states.into_iter().filter(|state| state.key.made == all && state.cost < known).min_by_key(|state| state.cost);
    match best {
        Some(state) => Outcome::Better(sweep.choices(state.step, options.len())),
        None => Outcome::NoneBetter,
    }
}

/// The least that a flip can come to.
#[derive(Clone, Copy)]
struct Least {
    /// What it adds, whatever gesture it joins.
    adds: Cost,
    /// Whether it is rushed alone, and so is any gesture that it is part of.
    rushed: bool,
}

/// For each place, and for the time after the last, the least of each flip where it is made there or later; none where it
/// can't be.
fn least_from(cluster: &Cluster<'_>, flips: usize, at_places: &[&[(usize, Choice)]]) -> Vec<Vec<Option<Least>>> {
    let mut from = vec![vec![None; flips]];
    for here in at_places.iter().rev() {
        let mut least = from[from.len() - 1].clone();
        for (flip, choice) in *here {
            let here = Least { adds: cluster.effective(*flip, choice.cost), rushed: choice.cost.rushed > 0 };
            least[*flip] = Some(match least[*flip] {
                Some(Least { adds, rushed }) => Least { adds: adds.min(here.adds), rushed: rushed && here.rushed },
                None => here,
            });
        }
        from.push(least);
    }
    from.reverse();
    from
}

fn bit(flip: usize) -> u128 {
    1 << flip
}

fn all_made(count: usize) -> u128 {
    (0..count).fold(0, |made, flip| made | bit(flip))
}

struct Sweep<'a> {
    cluster: &'a Cluster<'a>,
    least_from: Vec<Vec<Option<Least>>>,
    known: Cost,
    effort: Effort,
    places: Vec<Place>,
    steps: Vec<Step>,
    looks: usize,
    too_many: bool,
}

impl Sweep<'_> {
    /// Goes past one place: every state as it is, and with every set of flips that can be made here.
    fn pass(&mut self, states: Vec<State>, place: Place, here: &[(usize, Choice)]) -> Vec<State> {
        let number = self.places.len();
        self.places.push(place);
        let mut passed = Reached::default();
        for mut state in states {
            for hand in Hand::BOTH {
                let last = &mut state.key.last[hand as usize];
                *last = last.filter(|&earlier| !place.plucks_since(&self.places[earlier], hand));
            }
            self.make(&state, number, here, &mut Vec::new(), &mut passed);
            if self.can_win_later(&state, number) {
                passed.keep(state);
            }
        }
        self.too_many |= passed.states.len() > self.effort.most_states();
        passed.states
    }

    /// Adds one more flip to those made here, in every way, and keeps each set that can still win.
    fn make(
        &mut self,
        from: &State,
        number: usize,
        open: &[(usize, Choice)],
        chosen: &mut Vec<(usize, Choice)>,
        passed: &mut Reached,
    ) {
        for (index, &(flip, choice)) in open.iter().enumerate() {
            if from.key.made & bit(flip) != 0 || chosen.iter().any(|&(other, _)| other == flip) {
                continue;
            }
            chosen.push((flip, choice));
            let after = self.after(from, number, chosen);
            if let Some(mut state) = after.filter(|state| self.can_win(state, number)) {
                self.make(from, number, &open[index + 1..], chosen, passed);
                if self.can_win_later(&state, number) {
                    state.step = Some(self.steps.len());
                    self.steps.push(Step { before: from.step, made: chosen.clone() });
                    passed.keep(state);
                }
            }
            chosen.pop();
        }
    }

    /// The state after some flips made here; none once there is too much to try.
    fn after(&mut self, from: &State, number: usize, chosen: &[(usize, Choice)]) -> Option<State> {
        self.looks += 1;
        self.too_many |= self.looks > self.effort.most_looks();
        if self.too_many {
            return None;
        }
        let mut key = from.key.clone();
        let mut cost = from.cost + self.movements(&from.key, number, chosen);
        for &(flip, choice) in chosen {
            key.made |= bit(flip);
            key.last[choice.hand as usize] = Some(number);
            cost.comfort += self.compare_repeats(flip, &choice, &mut key);
        }
        Some(State { key, cost, step: from.step })
    }

    /// Whether a state may still beat the best plan known, if its open flips are made at a place or later.
    fn can_win(&self, state: &State, place: usize) -> bool {
        self.rest(state, place).is_some_and(|(rest, _)| state.cost + rest < self.known)
    }

    /// The same once a place has gone by: what is made now joins no gesture made there. Of flips that are rushed wherever
    /// they are made, at least one gesture is.
    fn can_win_later(&self, state: &State, place: usize) -> bool {
        self.rest(state, place + 1).is_some_and(|(rest, rushed)| {
            let rest = Cost { rushed: rest.rushed.max(u32::from(rushed)), ..rest };
            state.cost + rest < self.known
        })
    }

    /// What the open flips of a state add at the least, made at a place or later, and whether one of them is rushed there in
    /// any case; none where one can't be made any more.
    fn rest(&self, state: &State, place: usize) -> Option<(Cost, bool)> {
        let least = self.least_from[place].iter().enumerate();
        let mut open = least.filter(|(flip, _)| state.key.made & bit(*flip) == 0);
        open.try_fold((Cost::NONE, false), |(cost, rushed), (_, &least)| {
            least.map(|least| (cost + least.adds, rushed || least.rushed))
        })
    }

    /// What the movements cost that make the flips at one place.
    fn movements(&self, before: &Key, number: usize, chosen: &[(usize, Choice)]) -> Cost {
        let mut cost = Cost::NONE;
        let place = &self.places[number];
        for hand in Hand::BOTH {
            let mut of_hand: Vec<_> = chosen.iter().filter(|(_, choice)| choice.hand == hand).collect();
            let needs = &self.cluster.needs;
            of_hand.sort_by_key(|(flip, _)| (needs[*flip].to, needs[*flip].string));
            let together = |(a, _): &(usize, Choice), (b, _): &(usize, Choice)| {
                needs[*a].to == needs[*b].to && needs[*a].string.is_beside(needs[*b].string)
            };
            let mut previous = before.last[hand as usize];
            for movement in of_hand.chunk_by(|a, b| together(a, b)) {
                let mut timing = self.timing(hand, place, movement);
                if let Some(previous) = previous {
                    let tracks = &self.cluster.bench.tracks;
                    timing = tracks.timing_after(timing, place, &self.places[previous], movement.len());
                }
                previous = Some(number);
                cost.rushed += u32::from(timing.is_rushed());
                cost.comfort += movement.iter().map(|(_, choice)| choice.comfort_at(timing)).sum::<u32>();
            }
        }
        cost
    }

    fn timing(&self, hand: Hand, place: &Place, movement: &[&(usize, Choice)]) -> Timing {
        match movement {
            [(_, only)] => only.timing,
            several => {
                let strings: Vec<StringNumber> =
                    several.iter().map(|(flip, _)| self.cluster.needs[*flip].string).collect();
                self.cluster.bench.tracks.timing(hand, place, &strings)
            }
        }
    }

    /// What it costs to make a flip elsewhere than on the first time through; the first time is remembered for the
    /// others. Windows of repeats follow each other, so the first time is always made first.
    fn compare_repeats(&self, flip: usize, choice: &Choice, key: &mut Key) -> u32 {
        let bar = &self.cluster.bench.request.performance.bars()[choice.place.played_bar];
        let written = (bar.bar, choice.place.at - bar.starts, choice.hand);
        let first_times = &self.cluster.first_times;
        let mut cost = 0;
        if let Some(first) = first_times[flip]
            && let Some(place) = key.remembered.iter().position(|&(other, _)| other == first)
        {
            cost = if key.remembered[place].1 == written { 0 } else { DIFFERENT_ON_REPEAT };
            let awaited = |other: usize| first_times[other] == Some(first) && key.made & bit(other) == 0;
            if !(0..first_times.len()).any(awaited) {
                key.remembered.remove(place);
            }
        }
        if first_times.contains(&Some(flip)) {
            key.remembered.push((flip, written));
        }
        cost
    }

    fn choices(&self, mut step: Option<usize>, count: usize) -> Vec<Choice> {
        let mut made: Vec<(usize, Choice)> = Vec::with_capacity(count);
        while let Some(index) = step {
            made.extend(&self.steps[index].made);
            step = self.steps[index].before;
        }
        made.sort_by_key(|&(flip, _)| flip);
        made.into_iter().map(|(_, choice)| choice).collect()
    }
}

/// The states reached, one for each key.
#[derive(Default)]
struct Reached {
    states: Vec<State>,
    index: HashMap<Key, usize, FixedState>,
}

impl Reached {
    fn keep(&mut self, state: State) {
        match self.index.get(&state.key) {
            Some(&index) if self.states[index].cost <= state.cost => {}
            Some(&index) => self.states[index] = state,
            None => {
                self.index.insert(state.key.clone(), self.states.len());
                self.states.push(state);
            }
        }
    }
}
