//! What plans are compared by while they are searched for.

use std::iter::Sum;
use std::ops::{Add, AddAssign};

use super::Totals;

/// Costs in the order in which they weigh: a smaller one of an earlier kind beats any saving of a later kind.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Cost {
    /// Notes that can't be played.
    pub unplayable: u32,
    /// Gestures with too little time.
    pub rushed: u32,
    /// Flips and respelled notes, weighted as in [`Totals`].
    pub work: u32,
    /// The sum of the comfort table.
    pub comfort: u32,
}

impl Cost {
    pub const NONE: Cost = Cost { unplayable: 0, rushed: 0, work: 0, comfort: 0 };
    pub const UNPLAYABLE: Cost = Cost { unplayable: 1, ..Cost::NONE };
    pub const FLIP: Cost = Cost { work: Totals::FLIP_WEIGHT, ..Cost::NONE };
    pub const RESPELLED: Cost = Cost { work: Totals::RESPELLED_WEIGHT, ..Cost::NONE };
}

impl Cost {
    /// What a plan came to.
    pub fn of(totals: &Totals) -> Cost {
        let (unplayable, rushed, work, comfort) = totals.rank();
        Cost { unplayable, rushed, work, comfort }
    }
}

impl Add for Cost {
    type Output = Cost;
    fn add(self, other: Cost) -> Cost {
        Cost {
            unplayable: self.unplayable + other.unplayable,
            rushed: self.rushed + other.rushed,
            work: self.work + other.work,
            comfort: self.comfort + other.comfort,
        }
    }
}

impl AddAssign for Cost {
    fn add_assign(&mut self, other: Cost) {
        *self = *self + other;
    }
}

impl Sum for Cost {
    fn sum<I: Iterator<Item = Cost>>(costs: I) -> Cost {
        costs.fold(Cost::NONE, Add::add)
    }
}

impl Cost {
    /// What remains without a part of it.
    pub fn without(self, part: Cost) -> Cost {
        Cost {
            unplayable: self.unplayable.saturating_sub(part.unplayable),
            rushed: self.rushed.saturating_sub(part.rushed),
            work: self.work.saturating_sub(part.work),
            comfort: self.comfort.saturating_sub(part.comfort),
        }
    }
}
