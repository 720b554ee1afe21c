//! What the player decides herself.

use crate::harp::{LeverState, StringNumber};
use crate::score::{BarIndex, Hand};
use crate::time::Ticks;

/// Names a flip in a way that survives re-planning: the string, where its lever goes, and the pluck it is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FlipName {
    /// The string.
    pub string: StringNumber,
    /// Where its lever goes.
    pub to: LeverState,
    /// The written bar of the pluck that needs it.
    pub needed_in: BarIndex,
    /// Where in that bar the pluck is.
    pub needed_at: Ticks,
    /// The time through that bar, from 0.
    pub time_through: u32,
}

/// One decision of the player's; the planner treats it as a constraint.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edit {
    /// Make this flip here: at a place of a written bar, on the latest time through it before the need.
    Place {
        /// The flip.
        flip: FlipName,
        /// The written bar to make it in.
        bar: BarIndex,
        /// Where in that bar.
        at: Ticks,
    },
    /// Make this flip with this hand.
    Hand {
        /// The flip.
        flip: FlipName,
        /// The hand.
        hand: Hand,
    },
    /// Set this lever so before the start.
    Preset {
        /// The string.
        string: StringNumber,
        /// Where its lever stands.
        state: LeverState,
    },
}
