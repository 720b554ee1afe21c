//! How good a plan is known to be: the least that any plan can come to, and what is left between the two.
//!
//! What the flips of any plan cost alone, summed over the cheapest strings, is such a least as long as nothing is rushed: company
//! never makes a flip cheaper. Two things are added to it, and one is taken off.
//!
//! * Flips that every plan has to make ([`certain`]) get in each other's way in every plan. Those that were decided together are
//!   decided by themselves once more, and what they cost beyond their sum is added.
//! * Neighbouring levers can share one rushed gesture. So where something is rushed, a flip that could be one of several in a gesture
//!   ([`together`]) counts as rushed only by its share, and its comfort as the least of any place.
//!
//! Where the shares don't come to whole gestures, a plan with no more of them could still save work by spending the rest; then work
//! and comfort are bounded with rushing left aside.

mod certain;
mod together;

use super::bench::Bench;
use super::cost::Cost;
use super::joint::Placed;
use super::need::Need;
use super::placement::{Group, Placer, cost_with_repeats};
use super::strings::{Price, StringChoice};
use super::{Gap, Proof};
pub(super) use certain::Certain;
pub(super) use together::Together;

/// One rushed gesture in shares: divisible by every number of levers up to ten.
const WHOLE: u32 = 2_520;

/// What is known of a plan in which nothing is rushed, given the cheapest strings there are if no flips got in each other's way.
pub(super) fn proof(placer: &mut Placer<'_>, certain: &Certain<'_>, cheapest: &StringChoice, placed: &Placed) -> Proof {
    let reached = Cost::of(&placed.totals);
    if reached == cheapest.least {
        return Proof::BestPossible;
    }
    let surplus = surplus(placer, placed, |need| certain.is_made(need));
    beyond(reached, cheapest.least, i64::from(cheapest.least.comfort) + surplus.comfort)
}

/// What is known of a plan in which something is rushed.
pub(super) struct RushedBound<'a> {
    pub certain: &'a Certain<'a>,
    pub together: &'a Together,
    /// The strings chosen at each flip's best place alone.
    pub cheapest: &'a StringChoice,
    /// Those chosen at the price of [`Shared`].
    pub shared: &'a StringChoice,
}

impl RushedBound<'_> {
    /// The shares of rushed gestures, and the comfort, that every plan comes to.
    fn sure(&self, placer: &mut Placer<'_>, placed: &Placed) -> (u32, i64) {
        let in_every_plan = |need: &Need| self.certain.is_made(need) && self.together.most(need) == 1;
        let surplus = surplus(placer, placed, in_every_plan);
        let shared = self.shared.least;
        (shared.rushed + WHOLE * surplus.rushed, i64::from(shared.comfort) + surplus.comfort)
    }

    /// Whether a plan with no more rushed gestures could save work by spending shares that don't come to a whole one.
    pub fn has_shares_to_spend(&self, placer: &mut Placer<'_>, placed: &Placed) -> bool {
        let (shares, _) = self.sure(placer, placed);
        let least = self.least(shares);
        let reached = Cost::of(&placed.totals);
        (least.unplayable, least.rushed) == (reached.unplayable, reached.rushed) && shares != WHOLE * least.rushed
    }

    /// How good the plan is known to be. `aside` are the strings chosen with rushing left aside, where there are
    /// [shares to spend](Self::has_shares_to_spend).
    pub fn proof(&self, placer: &mut Placer<'_>, placed: &Placed, aside: Option<&StringChoice>) -> Proof {
        let reached = Cost::of(&placed.totals);
        let (shares, comfort) = self.sure(placer, placed);
        let least = self.least(shares);
        match aside {
            Some(aside) => {
                let least = Cost { rushed: least.rushed, ..aside.least };
                beyond(reached, least, i64::from(least.comfort))
            }
            None => beyond(reached, least, comfort),
        }
    }

    fn least(&self, shares: u32) -> Cost {
        let sure = shares.div_ceil(WHOLE).max(self.cheapest.least.rushed.min(1));
        Cost { rushed: sure, ..self.shared.least }
    }
}

/// What a plan comes to beyond the least; the first figure that isn't 0 makes the rest mean nothing.
fn beyond(reached: Cost, least: Cost, comfort: i64) -> Proof {
    let gap = gap_between(reached, least, comfort);
    if gap == Gap::NONE { Proof::BestPossible } else { Proof::Within(gap) }
}

fn gap_between(reached: Cost, least: Cost, comfort: i64) -> Gap {
    if reached.unplayable > least.unplayable {
        return Gap { unplayable: reached.unplayable - least.unplayable, ..Gap::NONE };
    }
    if reached.rushed > least.rushed {
        return Gap { rushed: reached.rushed - least.rushed, ..Gap::NONE };
    }
    if reached.work > least.work {
        return Gap { work: reached.work - least.work, ..Gap::NONE };
    }
    let comfort = u32::try_from((i64::from(reached.comfort) - comfort).max(0)).unwrap_or(u32::MAX);
    Gap { comfort, ..Gap::NONE }
}

/// A price that no rushed plan goes below: rushing in shares of [`WHOLE`].
pub(super) struct Shared<'a>(pub &'a Together);

impl Price for Shared<'_> {
    fn of(&self, bench: &Bench<'_>, need: &Need) -> Option<Cost> {
        let alone = bench.best_alone(need)?.cost;
        let most = self.0.most(need);
        let comfort = if most == 1 { alone.comfort } else { bench.least_comfort(need) };
        Some(Cost { rushed: alone.rushed * WHOLE / most, comfort, ..Cost::NONE })
    }

    fn shares(&self) -> u32 {
        WHOLE
    }
}

/// What flips cost beyond their sum in every plan.
#[derive(Clone, Copy, Debug, Default)]
struct Surplus {
    rushed: u32,
    /// A rushed gesture more may cost less comfort.
    comfort: i64,
}

/// The surplus of the flips that are in every plan, of those that were decided together.
fn surplus(placer: &mut Placer<'_>, placed: &Placed, is_in_every_plan: impl Fn(&Need) -> bool) -> Surplus {
    let bench = placer.bench();
    let mut sum = Surplus::default();
    for group in placed.groups.iter().filter(|group| group.members.len() > 1) {
        let members: Vec<usize> =
            group.members.iter().copied().filter(|&index| is_in_every_plan(&placed.needs[index])).collect();
        let alone =
            members.iter().map(|&index| Some(bench.best_alone(&placed.needs[index])?.cost)).sum::<Option<Cost>>();
        if let (Some(alone), Some(together)) = (alone, least_of(placer, placed, group, &members))
            && together > alone
        {
            sum.rushed += together.rushed - alone.rushed;
            sum.comfort += i64::from(together.comfort) - i64::from(alone.comfort);
        }
    }
    sum
}

/// What some flips of a group cost together at the least; none where that isn't known.
fn least_of(placer: &mut Placer<'_>, placed: &Placed, group: &Group, members: &[usize]) -> Option<Cost> {
    let Placed { needs, choices, .. } = placed;
    match members.len() {
        0 | 1 => None,
        all if all == group.members.len() => {
            group.is_proved.then(|| cost_with_repeats(placer.bench(), needs, choices, members))
        }
        _ => placer.least_together(needs, members),
    }
}
