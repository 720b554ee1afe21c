//! Strings and places together: where the flips of the cheapest strings get in each other's way, other strings are tried.
//!
//! The choice of strings prices every flip at its best place alone. Where that price is met, nothing can be better. Where
//! flips in company cost more, each of those that another string could save is avoided in turn, the strings of its component
//! chosen anew, and everything placed again; what is better is kept, until nothing is. How good the result is known to be
//! says [`super::bound`]; where that leaves a gap and there are few choices of strings, every one of them is placed.

use std::collections::BTreeSet;

use super::bench::{Bench, Choice};
use super::bound::{self, Certain, RushedBound, Shared, Together};
use super::cost::Cost;
use super::demand::{Ways, is_respelled};
use super::need::Need;
use super::placement::{Effort, Group, Placement, Placer, comfort, cost_together};
use super::strings::{
    BestAlone, LeastComfort, Price, StringChoice, Strings, choose, choose_again, choose_within, every_choice, needs_of,
};
use super::{FlipName, Proof, Totals};
use crate::harp::{LeverState, StringNumber};

/// So many plucks may be looked at anew while other strings are tried: a player waits for the plan, and in a piece longer than
/// this nothing is tried.
const MOST_PLUCKS_TRIED: usize = 4_000;
/// In pieces for which fewer choices than this may be tried, groups that are hard to decide aren't tried again.
const FEWEST_TRIES: usize = 10;
/// Pairs of flips are avoided only in groups with no more flips than this that can be avoided.
const MOST_PAIRED: usize = 6;

/// Strings, places, and how good they are known to be.
pub(super) struct Decided {
    pub strings: Strings,
    pub placed: Placed,
    pub proof: Proof,
}

/// The flips of a choice of strings, placed.
pub(super) struct Placed {
    pub needs: Vec<Need>,
    /// Resets of a loop whose string is plucked up to the very end.
    pub roomless: Vec<Need>,
    /// Where every string begins; none where it is free.
    pub begins: Vec<Option<LeverState>>,
    pub choices: Vec<Choice>,
    pub totals: Totals,
    /// Which flips were decided together.
    pub groups: Vec<Group>,
}

/// Decides everything.
pub(super) fn decide(bench: &Bench<'_>, ways: &Ways) -> Decided {
    let cheapest = choose(bench, ways);
    let certain = Certain::of(bench, ways, &cheapest.components);
    let mut trials = Trials { bench, ways, certain: &certain, placer: Placer::new(bench) };
    let (mut best, mut proof) = trials.by_prices(&cheapest);
    if proof != Proof::BestPossible {
        (best, proof) = trials.best_of_all(best, &cheapest, proof);
    }
    Decided { strings: best.strings, placed: best.placed, proof }
}

/// A choice of strings with its flips placed.
struct Whole {
    strings: Strings,
    placed: Placed,
}

/// Tries choices of strings.
struct Trials<'a> {
    bench: &'a Bench<'a>,
    ways: &'a Ways,
    certain: &'a Certain<'a>,
    placer: Placer<'a>,
}

impl Trials<'_> {
    /// The best that is found by what flips cost alone or with their neighbours, and what is known of it.
    fn by_prices(&mut self, cheapest: &StringChoice) -> (Whole, Proof) {
        let Trials { bench, ways, certain, .. } = *self;
        let mut best = self.near(cheapest, &BestAlone);
        if best.placed.totals.rushed == 0 {
            best = self.thorough(best);
            let proof = bound::proof(&mut self.placer, certain, cheapest, &best.placed);
            return (best, proof);
        }
        // Neighbours that can share a rushed gesture are cheaper than the sum of both.
        let together = Together::of(bench, certain);
        let price = Shared(&together);
        let shared = choose_again(bench, ways, cheapest, &price);
        best = self.better_near(best, &shared, &price);
        best = self.thorough(best);
        let bound = RushedBound { certain, together: &together, cheapest, shared: &shared };
        let aside = bound.has_shares_to_spend(&mut self.placer, &best.placed);
        let aside = aside.then(|| choose_again(bench, ways, cheapest, &LeastComfort));
        if let Some(aside) = &aside {
            best = self.better_near(best, aside, &LeastComfort);
            best = self.thorough(best);
        }
        let proof = match best.placed.totals.rushed {
            0 => bound::proof(&mut self.placer, certain, cheapest, &best.placed),
            _ => bound.proof(&mut self.placer, &best.placed, aside.as_ref()),
        };
        (best, proof)
    }

    /// The best of every choice of strings, where there are few enough to place them all. If each could be placed for certain,
    /// nothing is better.
    fn best_of_all(&mut self, best: Whole, cheapest: &StringChoice, proof: Proof) -> (Whole, Proof) {
        let Some(choices) = every_choice(self.bench, self.ways, cheapest, self.most()) else { return (best, proof) };
        let (mut best, mut are_certain) = (best, true);
        for strings in choices {
            let placed = placed(&mut self.placer, &strings, Effort::Thorough);
            are_certain &= placed.groups.iter().all(|group| group.is_proved);
            if placed.totals.rank() < best.placed.totals.rank() {
                best = Whole { strings, placed };
            }
        }
        (best, if are_certain { Proof::BestPossible } else { proof })
    }

    /// So many choices may be tried in one search.
    fn most(&self) -> usize {
        MOST_PLUCKS_TRIED / self.bench.request.performance.plucks().len().max(1)
    }

    /// The best that is found from a choice of strings on.
    fn near(&mut self, choice: &StringChoice, price: &dyn Price) -> Whole {
        let placed = placed(&mut self.placer, &choice.strings, Effort::Quick);
        let mut better = Better {
            chosen: StringChoice { strings: choice.strings.clone(), components: choice.components.clone(), ..*choice },
            price,
            placed,
            left: self.most(),
            trials: self,
        };
        let reached = Cost::of(&better.placed.totals);
        if (Cost { rushed: reached.rushed * price.shares(), ..reached }) > choice.cost {
            better.search();
        }
        Whole { strings: better.chosen.strings, placed: better.placed }
    }

    /// The same, or the best known where nothing better is found.
    fn better_near(&mut self, best: Whole, choice: &StringChoice, price: &dyn Price) -> Whole {
        if self.most() == 0 || choice.strings == best.strings {
            return best;
        }
        let other = self.near(choice, price);
        if other.placed.totals.rank() < best.placed.totals.rank() { other } else { best }
    }

    /// Sweeps the groups once more that were hard to decide.
    fn thorough(&mut self, best: Whole) -> Whole {
        if self.most() < FEWEST_TRIES || best.placed.groups.iter().all(|group| group.is_proved) {
            return best;
        }
        let thorough = placed(&mut self.placer, &best.strings, Effort::Thorough);
        if thorough.totals.rank() <= best.placed.totals.rank() { Whole { placed: thorough, ..best } } else { best }
    }
}

/// Places the flips of a choice of strings.
fn placed(placer: &mut Placer<'_>, strings: &Strings, effort: Effort) -> Placed {
    let bench = placer.bench();
    let request = bench.request;
    let (needs, begins) = needs_of(bench, strings);
    // Only the reset of a loop can be without room: its string is plucked up to the very end.
    let (needs, roomless): (Vec<Need>, Vec<Need>) = needs.into_iter().partition(|need| bench.has_room(need));
    let Placement { choices, groups } = placer.place(&needs, effort);
    let respelled = request
        .performance
        .plucks()
        .iter()
        .zip(strings)
        .filter(|(pluck, way)| way.is_some_and(|(string, _)| is_respelled(request.harp, pluck, string)))
        .count();
    let everyone: Vec<usize> = (0..choices.len()).collect();
    let count = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
    let totals = Totals {
        unplayable: count(strings.iter().filter(|way| way.is_none()).count()),
        rushed: cost_together(bench, &needs, &choices, &everyone).rushed,
        flips: count(needs.len() + roomless.len()),
        respelled: count(respelled),
        comfort: comfort(bench, &needs, &choices),
    };
    Placed { needs, roomless, begins, choices, totals, groups }
}

/// The best found so far in one search.
struct Better<'a, 'b> {
    trials: &'b mut Trials<'a>,
    price: &'b dyn Price,
    chosen: StringChoice,
    placed: Placed,
    /// How many other choices of strings may still be tried.
    left: usize,
}

impl Better<'_, '_> {
    /// Avoids flips of dear groups, one at a time, then in pairs, until nothing gets better.
    fn search(&mut self) {
        let mut avoided: BTreeSet<FlipName> = BTreeSet::new();
        'again: while self.left > 0 {
            let groups = self.dear_groups();
            for group in &groups {
                for &flip in group {
                    if self.avoid(&mut avoided, &[flip]) {
                        continue 'again;
                    }
                }
            }
            for group in groups.iter().filter(|group| group.len() <= MOST_PAIRED) {
                for (index, &first) in group.iter().enumerate() {
                    for &second in &group[index + 1..] {
                        if self.avoid(&mut avoided, &[first, second]) {
                            continue 'again;
                        }
                    }
                }
            }
            return;
        }
    }

    /// For each group that costs more than its flips alone, those of its flips that other strings could save.
    fn dear_groups(&self) -> Vec<Vec<FlipName>> {
        let Placed { needs, groups, .. } = &self.placed;
        let dear = groups.iter().filter(|group| self.is_dear(&group.members));
        let avoidable = dear.map(|group| {
            let open =
                group.members.iter().map(|&index| &needs[index]).filter(|need| !self.trials.certain.is_made(need));
            open.map(|need| need.name).collect::<Vec<FlipName>>()
        });
        avoidable.filter(|names| !names.is_empty()).collect()
    }

    /// Whether flips cost more together than the sum of their prices, rushed gestures counted in whole ones.
    fn is_dear(&self, members: &[usize]) -> bool {
        let Placed { needs, choices, .. } = &self.placed;
        let alone: Cost = members.iter().filter_map(|&index| self.price.of(self.trials.bench, &needs[index])).sum();
        let together = cost_together(self.trials.bench, needs, choices, members);
        Cost { rushed: together.rushed * self.price.shares(), ..together } > alone
    }

    /// Chooses and places everything without some more flips; kept where that is better.
    fn avoid(&mut self, avoided: &mut BTreeSet<FlipName>, flips: &[FlipName]) -> bool {
        if self.left == 0 {
            return false;
        }
        self.left -= 1;
        let Trials { bench, ways, .. } = *self.trials;
        let mut more = avoided.clone();
        more.extend(flips);
        let strings_of: BTreeSet<StringNumber> = flips.iter().map(|flip| flip.string).collect();
        let mut strings = self.chosen.strings.clone();
        let mut least = self.chosen.cost;
        let mut costs = Vec::new();
        for (index, (component, cost)) in self.chosen.components.iter().enumerate() {
            if component.strings.iter().any(|string| strings_of.contains(string)) {
                let (new, _) = choose_within(bench, ways, component, (self.price, &more), &mut strings);
                least = least.without(*cost) + new;
                costs.push((index, new));
            }
        }
        // What a choice costs at the price is the least it can cost.
        let whole = Cost { rushed: least.rushed.div_ceil(self.price.shares()), ..least };
        if strings == self.chosen.strings || whole >= Cost::of(&self.placed.totals) {
            return false;
        }
        let placed = placed(&mut self.trials.placer, &strings, Effort::Quick);
        if placed.totals.rank() >= self.placed.totals.rank() {
            return false;
        }
        self.placed = placed;
        self.chosen.strings = strings;
        self.chosen.cost = least;
        for (index, cost) in costs {
            self.chosen.components[index].1 = cost;
        }
        *avoided = more;
        true
    }
}
