//! Strings and places together: where the flips of the cheapest strings get in each other's way, other strings are tried.
//!
//! The choice of strings prices every flip at its best place alone. Where that price is met, nothing can be better. Where
//! flips in company cost more, each of those that another string could save is avoided in turn, the strings of its component
//! chosen anew, and everything placed again; what is better is kept, until nothing is. How good the result is known to be
//! follows from the price alone, which no plan goes below (see [`gap`]).

use std::collections::{BTreeMap, BTreeSet};

use super::bench::{Bench, Choice};
use super::cost::Cost;
use super::demand::{Ways, is_respelled};
use super::need::Need;
use super::placement::{Placement, comfort, cost_together, place};
use super::strings::{Price, StringChoice, Strings, choose, choose_within, least_without_rushing, needs_of};
use super::{FlipName, Gap, Proof, Totals};
use crate::harp::{LeverState, StringNumber};

/// So many plucks may be looked at anew while other strings are tried: a player waits for the plan, and in a piece longer than
/// this nothing is tried.
const MOST_PLUCKS_TRIED: usize = 4_000;
/// Pairs of flips are avoided only in clusters with no more flips than this that can be avoided.
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
    clusters: Vec<usize>,
    unproved: BTreeSet<usize>,
}

/// Decides everything.
pub(super) fn decide(bench: &Bench<'_>, ways: &Ways) -> Decided {
    let chosen = choose(bench, ways);
    let placed = placed(bench, &chosen.strings);
    let mut better = Better { bench, ways, chosen, placed, left: 0 };
    better.left = MOST_PLUCKS_TRIED / bench.request.performance.plucks().len().max(1);
    let least = better.chosen.cost;
    if rank(&better.placed.totals) > least {
        better.search();
    }
    let proof = match (better.chosen.is_exact, gap(&better, least)) {
        (false, _) => Proof::CutShort,
        (true, None) => Proof::BestPossible,
        (true, Some(gap)) => Proof::Within(gap),
    };
    Decided { strings: better.chosen.strings, placed: better.placed, proof }
}

fn rank(totals: &Totals) -> Cost {
    let (unplayable, rushed, work, comfort) = totals.rank();
    Cost { unplayable, rushed, work, comfort }
}

/// Places the flips of a choice of strings.
fn placed(bench: &Bench<'_>, strings: &Strings) -> Placed {
    let request = bench.request;
    let (needs, begins) = needs_of(bench, strings);
    // Only the reset of a loop can be without room: its string is plucked up to the very end.
    let (needs, roomless): (Vec<Need>, Vec<Need>) = needs.into_iter().partition(|need| bench.has_room(need));
    let Placement { choices, clusters, unproved } = place(bench, &needs);
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
    Placed { needs, roomless, begins, choices, totals, clusters, unproved }
}

/// The best found so far.
struct Better<'a> {
    bench: &'a Bench<'a>,
    ways: &'a Ways,
    chosen: StringChoice,
    placed: Placed,
    /// How many other choices of strings may still be tried.
    left: usize,
}

impl Better<'_> {
    /// Avoids flips of dear clusters, one at a time, then in pairs, until nothing gets better.
    fn search(&mut self) {
        let mut avoided: BTreeSet<FlipName> = BTreeSet::new();
        'again: while self.left > 0 {
            let clusters = self.dear_clusters();
            for cluster in &clusters {
                for &flip in cluster {
                    if self.avoid(&mut avoided, &[flip]) {
                        continue 'again;
                    }
                }
            }
            for cluster in clusters.iter().filter(|cluster| cluster.len() <= MOST_PAIRED) {
                for (index, &first) in cluster.iter().enumerate() {
                    for &second in &cluster[index + 1..] {
                        if self.avoid(&mut avoided, &[first, second]) {
                            continue 'again;
                        }
                    }
                }
            }
            return;
        }
    }

    /// The clusters, each as its flips.
    fn clusters(&self) -> BTreeMap<usize, Vec<usize>> {
        let mut clusters: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (index, &root) in self.placed.clusters.iter().enumerate() {
            clusters.entry(root).or_default().push(index);
        }
        clusters
    }

    /// For each cluster that costs more than its flips alone, those of its flips that other strings could save.
    fn dear_clusters(&self) -> Vec<Vec<FlipName>> {
        let needs = &self.placed.needs;
        let dear = self.clusters().into_values().filter(|members| self.beyond_alone(members) > Cost::NONE);
        let avoidable = dear.map(|members| {
            let open = members.into_iter().filter(|&index| !self.is_certain(&needs[index]));
            open.map(|index| needs[index].name).collect::<Vec<FlipName>>()
        });
        avoidable.filter(|names| !names.is_empty()).collect()
    }

    /// What all plans without rushed gestures spend on comfort beyond what their flips cost alone: the surplus of clusters
    /// all of whose flips are certain.
    fn unavoidable(&self) -> u32 {
        let proved = self.clusters().into_iter().filter(|(root, _)| !self.placed.unproved.contains(root));
        let certain =
            proved.filter(|(_, members)| members.iter().all(|&index| self.is_certain(&self.placed.needs[index])));
        certain.map(|(_, members)| self.beyond_alone(&members).comfort).sum()
    }

    /// What flips cost together beyond what each costs alone.
    fn beyond_alone(&self, members: &[usize]) -> Cost {
        let Placed { needs, choices, .. } = &self.placed;
        let alone = members.iter().filter_map(|&index| self.bench.best_alone(&needs[index]));
        let alone = alone.fold(Cost::NONE, |sum, choice| sum + choice.cost);
        let together = cost_together(self.bench, needs, choices, members);
        if together > alone { together.without(alone) } else { Cost::NONE }
    }

    /// Whether every plan that plays as many notes makes this flip: both its notes have no other string, and no other note
    /// could come between them on this one.
    fn is_certain(&self, need: &Need) -> bool {
        let plucks = self.bench.request.performance.plucks();
        let on_string = |index: usize| {
            let ways = self.ways.to_sound(plucks[index].pitch.midi());
            (ways.iter().any(|&(string, _)| string == need.string), ways.len())
        };
        let (Some(after), Some(pluck)) = (need.window.after, need.pluck) else { return false };
        let from = plucks.partition_point(|other| other.at < after);
        let until = plucks.partition_point(|other| other.at <= need.window.before);
        let here: Vec<(usize, usize)> = (from..until)
            .filter_map(|index| match on_string(index) {
                (true, ways) => Some((index, ways)),
                (false, _) => None,
            })
            .collect();
        matches!(here[..], [(_, 1), (last, 1)] if last == pluck)
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
                let found = choose_within(self.bench, self.ways, component, &more, Price::BestAlone, &mut strings);
                let Some((new, _)) = found else { return false };
                least = least.without(*cost) + new;
                costs.push((index, new));
            }
        }
        // What a choice costs without company is the least it can cost.
        if strings == self.chosen.strings || least >= rank(&self.placed.totals) {
            return false;
        }
        let placed = placed(self.bench, &strings);
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

/// How much better another plan might be: what the plan costs beyond the least that the flips of any plan cost alone.
///
/// Where nothing is rushed alone, that least is a bound, since company never makes a gesture that isn't rushed cheaper; and a
/// cluster whose flips are all certain costs in every such plan what its exact decision costs here, so that it isn't held
/// against the plan. Where flips are rushed even alone, neighbours may share one rushed gesture: one remains in any plan, and
/// the rest is bounded with rushing left aside.
fn gap(better: &Better<'_>, least: Cost) -> Option<Gap> {
    let reached = rank(&better.placed.totals);
    let sure = least.rushed.min(1);
    if reached.rushed > sure {
        return Some(Gap { rushed: reached.rushed - sure, work: 0, comfort: 0 });
    }
    let least = match least.rushed {
        0 => least,
        _ => least_without_rushing(better.bench, better.ways, &better.chosen).unwrap_or(Cost::NONE),
    };
    if reached.work > least.work {
        return Some(Gap { rushed: 0, work: reached.work - least.work, comfort: 0 });
    }
    let beyond = reached.comfort.saturating_sub(least.comfort);
    let comfort = if reached.rushed == 0 { beyond.saturating_sub(better.unavoidable()) } else { beyond };
    (comfort > 0).then_some(Gap { rushed: 0, work: 0, comfort })
}
