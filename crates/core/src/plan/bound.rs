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
use super::demand::Ways;
use super::joint::Placed;
use super::need::Need;
use super::placement::{Group, cost_with_repeats, least_together};
use super::strings::{LeastComfort, Price, StringChoice, least_at};
use super::{Gap, Proof};
pub(super) use certain::Certain;
pub(super) use together::Together;

/// One rushed gesture in shares: divisible by every number of levers up to ten.
const WHOLE: u32 = 2_520;

/// What is known of a plan whose flips are placed as they are, given the cheapest strings there are if no flips got in each other's
/// way.
pub(super) fn proof(
    bench: &Bench<'_>,
    ways: &Ways,
    (chosen, certain): (&StringChoice, &Certain<'_>),
    placed: &Placed,
) -> Proof {
    let reached = Cost::of(&placed.totals);
    if reached == chosen.least && reached.rushed == 0 {
        return Proof::BestPossible;
    }
    let gap = if reached.rushed == 0 {
        let surplus = surplus(bench, placed, |need| certain.is_made(need));
        beyond(reached, chosen.least, i64::from(chosen.least.comfort) + surplus.comfort)
    } else {
        gap_of_rushed(bench, ways, chosen, placed, certain)
    };
    if gap == Gap::NONE { Proof::BestPossible } else { Proof::Within(gap) }
}

fn gap_of_rushed(bench: &Bench<'_>, ways: &Ways, chosen: &StringChoice, placed: &Placed, certain: &Certain<'_>) -> Gap {
    let reached = Cost::of(&placed.totals);
    let together = Together::of(bench, certain);
    let shared = least_at(bench, ways, chosen, &Shared(&together));
    let surplus = surplus(bench, placed, |need| certain.is_made(need) && together.most(need) == 1);
    let shares = shared.rushed + WHOLE * surplus.rushed;
    let sure = shares.div_ceil(WHOLE).max(chosen.least.rushed.min(1));
    let least = Cost { rushed: sure, ..shared };
    if (least.unplayable, least.rushed) == (reached.unplayable, reached.rushed) && shares != WHOLE * sure {
        let least = Cost { rushed: sure, ..least_at(bench, ways, chosen, &LeastComfort) };
        return beyond(reached, least, i64::from(least.comfort));
    }
    beyond(reached, least, i64::from(shared.comfort) + surplus.comfort)
}

/// What a plan comes to beyond the least; the first figure that isn't 0 makes the rest mean nothing.
fn beyond(reached: Cost, least: Cost, comfort: i64) -> Gap {
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
fn surplus(bench: &Bench<'_>, placed: &Placed, is_in_every_plan: impl Fn(&Need) -> bool) -> Surplus {
    let mut sum = Surplus::default();
    for group in placed.groups.iter().filter(|group| group.members.len() > 1) {
        let members: Vec<usize> =
            group.members.iter().copied().filter(|&index| is_in_every_plan(&placed.needs[index])).collect();
        let alone =
            members.iter().map(|&index| Some(bench.best_alone(&placed.needs[index])?.cost)).sum::<Option<Cost>>();
        if let (Some(alone), Some(together)) = (alone, least_of(bench, placed, group, &members))
            && together > alone
        {
            sum.rushed += together.rushed - alone.rushed;
            sum.comfort += i64::from(together.comfort) - i64::from(alone.comfort);
        }
    }
    sum
}

/// What some flips of a group cost together at the least; none where that isn't known.
fn least_of(bench: &Bench<'_>, placed: &Placed, group: &Group, members: &[usize]) -> Option<Cost> {
    let Placed { needs, choices, .. } = placed;
    match members.len() {
        0 | 1 => None,
        all if all == group.members.len() => group.is_proved.then(|| cost_with_repeats(bench, needs, choices, members)),
        _ => least_together(bench, needs, members),
    }
}
