//! When and with which hand each flip is made, so that the fewest gestures are rushed and the comfort is best.
//!
//! Each flip first takes the choice that is cheapest by itself. Together they may be dearer: two flips of one hand with
//! no pluck between them, or a flip that is made elsewhere on a repeat. Flips that get in each other's way so are put
//! into one cluster and decided together by an exact sweep, until no two clusters cost more together than apart.
//! Company never makes a flip cheaper, so the result is then the best there is. There are two exceptions: a rushed
//! gesture that a neighbouring lever can join for nothing, and a lever between two others that turns three gestures into
//! one. Such flips are decided together too.

mod cluster;
mod company;
mod sweep;

use std::collections::{BTreeSet, HashMap};

use foldhash::fast::FixedState;

use super::bench::{Bench, Choice};
use super::cost::Cost;
use super::need::{Need, NeedKey};
use crate::harp::{LeverState, StringNumber};

use cluster::Solved;
pub(super) use company::{Movement, is_elsewhere, movements};
pub(super) use sweep::Effort;

/// Places for flips, one choice for each need.
pub(super) struct Placement {
    pub choices: Vec<Choice>,
    /// Every flip is in one of them.
    pub groups: Vec<Group>,
}

/// Flips that were decided together, by their places among the needs.
pub(super) struct Group {
    pub members: Vec<usize>,
    /// Whether nothing is better for them.
    pub is_proved: bool,
}

/// Places flips, and remembers what it has decided: while strings are tried, most of a piece stays as it was.
pub(super) struct Placer<'a> {
    bench: &'a Bench<'a>,
    decided: HashMap<Vec<NeedKey>, (Effort, Solved), FixedState>,
}

impl<'a> Placer<'a> {
    pub fn new(bench: &'a Bench<'a>) -> Placer<'a> {
        Placer { bench, decided: HashMap::default() }
    }

    pub fn bench(&self) -> &'a Bench<'a> {
        self.bench
    }

    /// Places every flip. All needs have room.
    pub fn place(&mut self, needs: &[Need], effort: Effort) -> Placement {
        let alone: Option<Vec<Choice>> = needs.iter().map(|need| self.bench.best_alone(need)).collect();
        let Some(alone) = alone else { return Placement { choices: Vec::new(), groups: Vec::new() } };
        let mut choices = alone.clone();
        let mut unproved = BTreeSet::new();
        let first_times = first_times(needs);
        let by_lever = by_lever(needs);
        let mut clusters = Clusters::new(needs.len());
        loop {
            let mut joined = rushed_neighbours(self.bench, needs, &choices, &mut clusters);
            joined.extend(clashes(self.bench, needs, &choices, &first_times, &mut clusters));
            if joined.is_empty() {
                let roots = (0..needs.len()).filter(|&index| clusters.root(index) == index).collect::<Vec<usize>>();
                let group = |root| Group { members: clusters.members(root), is_proved: !unproved.contains(&root) };
                return Placement { choices, groups: roots.into_iter().map(group).collect() };
            }
            let mut changed = BTreeSet::new();
            while !joined.is_empty() {
                for &(a, b) in &joined {
                    clusters.join(a, b);
                }
                let touched = changed.into_iter().chain(joined.iter().map(|&(a, _)| a));
                changed = touched.map(|index| clusters.root(index)).collect::<BTreeSet<usize>>();
                joined = bridges(needs, &by_lever, &changed, &mut clusters);
            }
            for root in changed {
                let members = clusters.members(root);
                let alone: Vec<Choice> = members.iter().map(|&index| alone[index]).collect();
                let solved = self.solve(needs, &alone, &members, &first_times, effort);
                if solved.is_best {
                    unproved.remove(&root);
                } else {
                    unproved.insert(root);
                }
                for (&member, &choice) in members.iter().zip(&solved.choices) {
                    choices[member] = choice;
                }
            }
        }
    }

    /// The least that some flips cost together if there were no others; none where that is too much to find out.
    pub fn least_together(&mut self, needs: &[Need], members: &[usize]) -> Option<Cost> {
        let alone =
            members.iter().map(|&index| self.bench.best_alone(&needs[index])).collect::<Option<Vec<Choice>>>()?;
        let solved = self.solve(needs, &alone, members, &first_times(needs), Effort::Quick);
        solved.is_best.then_some(solved.cost)
    }

    /// Decides a cluster, unless it has been decided before with as much effort.
    fn solve(
        &mut self,
        needs: &[Need],
        alone: &[Choice],
        members: &[usize],
        first_times: &[Option<usize>],
        effort: Effort,
    ) -> &Solved {
        let key: Vec<NeedKey> = members.iter().map(|&index| needs[index].key()).collect();
        let solve = || (effort, cluster::solve(self.bench, needs, alone, members, first_times, effort));
        let known = self.decided.entry(key).or_insert_with(solve);
        if known.0 < effort && !known.1.is_best {
            *known = solve();
        }
        &known.1
    }
}

/// For each need, the one of the same written flip on the first time through, where it is another.
pub(super) fn first_times(needs: &[Need]) -> Vec<Option<usize>> {
    let mut first: HashMap<_, usize> = HashMap::new();
    needs
        .iter()
        .enumerate()
        .map(|(index, need)| {
            let written = (need.string, need.to, need.name.needed_in, need.name.needed_at);
            let earliest = *first.entry(written).or_insert(index);
            (earliest != index).then_some(earliest)
        })
        .collect()
}

/// The needs of each lever and direction, in order of time.
type ByLever = HashMap<(StringNumber, LeverState), Vec<usize>>;

fn by_lever(needs: &[Need]) -> ByLever {
    let mut by_lever = ByLever::new();
    for (index, need) in needs.iter().enumerate() {
        by_lever.entry((need.string, need.to)).or_default().push(index);
    }
    by_lever
}

/// Flips of the levers between two of one cluster that go the same way: with them one motion could make all three, where
/// the two alone only get in each other's way. Each is paired with one of the two.
fn bridges(
    needs: &[Need],
    by_lever: &ByLever,
    roots: &BTreeSet<usize>,
    clusters: &mut Clusters,
) -> Vec<(usize, usize)> {
    let mut pairs = Vec::new();
    for &root in roots {
        let members = clusters.members(root);
        for (place, &a) in members.iter().enumerate() {
            for &b in &members[place + 1..] {
                let (first, second) = (&needs[a], &needs[b]);
                if first.to != second.to || !first.window.overlaps(&second.window) {
                    continue;
                }
                let (top, bottom) = (first.string.min(second.string), first.string.max(second.string));
                let latest = first.window.after.max(second.window.after);
                let between = (top.get() + 1..bottom.get()).filter_map(StringNumber::new).map(|string| {
                    let others = by_lever.get(&(string, first.to)).map_or(&[][..], Vec::as_slice);
                    let from = others.partition_point(|&other| Some(needs[other].window.before) <= latest);
                    let overlaps = |other: &&usize| {
                        let window = &needs[**other].window;
                        window.overlaps(&first.window) && window.overlaps(&second.window)
                    };
                    others[from..].iter().take_while(overlaps).copied().collect::<Vec<usize>>()
                });
                // One lever between that does not go along, and no motion makes them all.
                let between: Vec<Vec<usize>> = between.collect();
                if between.iter().all(|others| !others.is_empty()) {
                    let outside =
                        between.into_iter().flatten().filter(|&other| clusters.root(other) != clusters.root(a));
                    pairs.extend(outside.map(|other| (a, other)));
                }
            }
        }
    }
    pairs
}

/// Pairs from different clusters of which one is rushed and the other could be made with it in one motion, and so count
/// as no rushed gesture of its own.
fn rushed_neighbours(
    bench: &Bench<'_>,
    needs: &[Need],
    choices: &[Choice],
    clusters: &mut Clusters,
) -> Vec<(usize, usize)> {
    let everyone: Vec<usize> = (0..needs.len()).collect();
    let mut is_rushed = vec![false; needs.len()];
    for movement in movements(bench, needs, choices, &everyone).iter().filter(|movement| movement.timing.is_rushed()) {
        movement.flips.iter().for_each(|&flip| is_rushed[flip] = true);
    }
    let mut earlier: HashMap<(StringNumber, LeverState), Vec<usize>> = HashMap::new();
    let mut pairs = Vec::new();
    for (index, need) in needs.iter().enumerate() {
        let beside = [need.string.above(), need.string.below()].into_iter().flatten();
        for others in beside.filter_map(|string| earlier.get(&(string, need.to))) {
            // Needs are in order of their windows' ends.
            let overlaps = |other: &usize| need.window.after.is_none_or(|after| after < needs[*other].window.before);
            for &other in others.iter().rev().take_while(|other| overlaps(other)) {
                if (is_rushed[index] || is_rushed[other]) && clusters.root(other) != clusters.root(index) {
                    pairs.push((other, index));
                }
            }
        }
        earlier.entry((need.string, need.to)).or_default().push(index);
    }
    pairs
}

/// Pairs of flips from different clusters that cost more in company than their clusters do apart.
fn clashes(
    bench: &Bench<'_>,
    needs: &[Need],
    choices: &[Choice],
    first_times: &[Option<usize>],
    clusters: &mut Clusters,
) -> Vec<(usize, usize)> {
    let mut clashes = Vec::new();
    let everyone: Vec<usize> = (0..needs.len()).collect();
    for flips in company::entangled(bench, needs, choices, &everyone) {
        for &other in &flips[1..] {
            if clusters.root(flips[0]) != clusters.root(other) {
                clashes.push((flips[0], other));
            }
        }
    }
    for (index, first) in first_times.iter().enumerate() {
        if let &Some(first) = first
            && clusters.root(first) != clusters.root(index)
            && company::is_elsewhere(bench, &choices[index], &choices[first])
        {
            clashes.push((first, index));
        }
    }
    clashes
}

/// What some flips cost together, differences on repeats aside.
pub(super) fn cost_together(bench: &Bench<'_>, needs: &[Need], choices: &[Choice], members: &[usize]) -> Cost {
    company::cost(bench, needs, choices, members, &[])
}

/// What some flips cost together, differences on repeats between them included.
pub(super) fn cost_with_repeats(bench: &Bench<'_>, needs: &[Need], choices: &[Choice], members: &[usize]) -> Cost {
    company::cost(bench, needs, choices, members, &first_times(needs))
}

/// Which flips are decided together.
struct Clusters {
    parent: Vec<usize>,
    members: HashMap<usize, Vec<usize>>,
}

impl Clusters {
    fn new(count: usize) -> Clusters {
        Clusters { parent: (0..count).collect(), members: HashMap::new() }
    }

    fn root(&mut self, index: usize) -> usize {
        let mut root = index;
        while self.parent[root] != root {
            self.parent[root] = self.parent[self.parent[root]];
            root = self.parent[root];
        }
        root
    }

    /// The members of a root's cluster in order.
    fn members(&self, root: usize) -> Vec<usize> {
        let mut members = self.members.get(&root).cloned().unwrap_or_else(|| vec![root]);
        members.sort_unstable();
        members
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        if a != b {
            let mut joined = self.members(a);
            joined.extend(self.members(b));
            self.members.remove(&b);
            self.parent[b] = a;
            self.members.insert(a, joined);
        }
    }
}

/// The comfort of all choices together.
pub(super) fn comfort(bench: &Bench<'_>, needs: &[Need], choices: &[Choice]) -> u32 {
    let everyone: Vec<usize> = (0..choices.len()).collect();
    let apart: u32 = company::cost(bench, needs, choices, &everyone, &[]).comfort;
    let elsewhere = first_times(needs)
        .into_iter()
        .enumerate()
        .filter(|&(index, first)| {
            first.is_some_and(|first| company::is_elsewhere(bench, &choices[index], &choices[first]))
        })
        .count();
    apart + comfort_of_repeats(elsewhere)
}

fn comfort_of_repeats(elsewhere: usize) -> u32 {
    super::comfort::DIFFERENT_ON_REPEAT * u32::try_from(elsewhere).unwrap_or(u32::MAX / 4)
}
