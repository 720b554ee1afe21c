//! Strings and places together: where the flips of the cheapest strings get in each other's way, other strings are tried.
//!
//! The choice of strings prices every flip at its best place alone. Where that price is met, nothing can be better. Where
//! flips in company cost more, each of those that another string could save is avoided in turn, the strings of its component
//! chosen anew, and everything placed again; what is better is kept, until nothing is. How good the result is known to be
//! says [`super::bound`].

use std::collections::BTreeSet;

use super::bench::{Bench, Choice};
use super::bound::{self, Certain, Shared, Together};
use super::cost::Cost;
use super::demand::{Ways, is_respelled};
use super::need::Need;
use super::placement::{Effort, Group, Placement, comfort, cost_together, place};
use super::strings::{BestAlone, Price, StringChoice, Strings, choose, choose_within, needs_of};
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
    let cheapest = choose(bench, ways, &BestAlone);
    let mut strings = cheapest.strings.clone();
    let mut best = placed(bench, &strings, Effort::QUICK);
    let tries = MOST_PLUCKS_TRIED / bench.request.performance.plucks().len().max(1);
    let certain = Certain::of(bench, ways, &cheapest.components);
    let search = |price: &dyn Price, chosen: StringChoice, placed: Placed| {
        let mut better = Better { bench, ways, certain: &certain, price, chosen, placed, left: tries };
        better.search();
        (better.chosen.strings, better.placed)
    };
    if Cost::of(&best.totals) > cheapest.cost {
        let chosen = StringChoice { strings, components: cheapest.components.clone(), ..cheapest };
        (strings, best) = search(&BestAlone, chosen, best);
    }
    if best.totals.rushed > 0 && tries > 0 {
        // Neighbours that can share a rushed gesture are cheaper than the sum of both.
        let together = Together::of(bench, &certain);
        let shared = Shared(&together);
        let chosen = choose(bench, ways, &shared);
        let placed = placed(bench, &chosen.strings, Effort::QUICK);
        let (others, placed) = search(&shared, chosen, placed);
        if placed.totals.rank() < best.totals.rank() {
            (strings, best) = (others, placed);
        }
    }
    if tries >= FEWEST_TRIES && best.groups.iter().any(|group| !group.is_proved) {
        let thorough = placed(bench, &strings, Effort::THOROUGH);
        if thorough.totals.rank() <= best.totals.rank() {
            best = thorough;
        }
    }
    let proof = bound::proof(bench, ways, (&cheapest, &certain), &best);
    Decided { strings, placed: best, proof }
}

/// Places the flips of a choice of strings.
fn placed(bench: &Bench<'_>, strings: &Strings, effort: Effort) -> Placed {
    let request = bench.request;
    let (needs, begins) = needs_of(bench, strings);
    // Only the reset of a loop can be without room: its string is plucked up to the very end.
    let (needs, roomless): (Vec<Need>, Vec<Need>) = needs.into_iter().partition(|need| bench.has_room(need));
    let Placement { choices, groups } = place(bench, &needs, effort);
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

/// The best found so far.
struct Better<'a> {
    bench: &'a Bench<'a>,
    ways: &'a Ways,
    certain: &'a Certain<'a>,
    price: &'a dyn Price,
    chosen: StringChoice,
    placed: Placed,
    /// How many other choices of strings may still be tried.
    left: usize,
}

impl Better<'_> {
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
            let open = group.members.iter().map(|&index| &needs[index]).filter(|need| !self.certain.is_made(need));
            open.map(|need| need.name).collect::<Vec<FlipName>>()
        });
        avoidable.filter(|names| !names.is_empty()).collect()
    }

    /// Whether flips cost more together than the sum of their prices, rushed gestures counted in whole ones.
    fn is_dear(&self, members: &[usize]) -> bool {
        let Placed { needs, choices, .. } = &self.placed;
        let alone: Cost = members.iter().filter_map(|&index| self.price.of(self.bench, &needs[index])).sum();
        let together = cost_together(self.bench, needs, choices, members);
        Cost { rushed: together.rushed * self.price.shares(), ..together } > alone
    }

    /// Chooses and places everything without some more flips; kept where that is better.
    fn avoid(&mut self, avoided: &mut BTreeSet<FlipName>, flips: &[FlipName]) -> bool {
        if self.left == 0 {
            return false;
        }
        self.left -= 1;
        let mut more = avoided.clone();
        more.extend(flips);
        let strings_of: BTreeSet<StringNumber> = flips.iter().map(|flip| flip.string).collect();
        let mut strings = self.chosen.strings.clone();
        let mut least = self.chosen.cost;
        let mut costs = Vec::new();
        for (index, (component, cost)) in self.chosen.components.iter().enumerate() {
            if component.strings.iter().any(|string| strings_of.contains(string)) {
                let (new, _) = choose_within(self.bench, self.ways, component, (self.price, &more), &mut strings);
                least = least.without(*cost) + new;
                costs.push((index, new));
            }
        }
        // What a choice costs at the price is the least it can cost.
        let whole = Cost { rushed: least.rushed.div_ceil(self.price.shares()), ..least };
        if strings == self.chosen.strings || whole >= Cost::of(&self.placed.totals) {
            return false;
        }
        let placed = placed(self.bench, &strings, Effort::QUICK);
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
