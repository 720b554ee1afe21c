//! What the player decides herself.
//!
//! Her decisions are a plain list of [`Edit`]s: undoing is going back to an older list. [`with_edit`] adds one in the place
//! of what it replaces, [`without_edit`] takes one out. A wish that can't be met stays in the list, is passed over, and is
//! told as a problem of the plan with the reason ([`Refusal`]).

use super::Window;
use crate::harp::{LeverState, StringNumber};
use crate::score::{BarIndex, Hand, NoteName};
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
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
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
    /// Don't make this flip: play its note on another string, or not at all.
    Forbid {
        /// The flip.
        flip: FlipName,
    },
    /// Play this note on this string, every time through its bar.
    String {
        /// The note.
        note: NoteName,
        /// The string.
        string: StringNumber,
    },
}

impl Edit {
    /// Whether this decision takes the place of another one: both say the same thing of the same flip, string or note.
    /// A flip that is forbidden has no place and no hand, and the other way round.
    pub fn replaces(&self, other: &Edit) -> bool {
        match (*self, *other) {
            (Edit::Place { flip: a, .. }, Edit::Place { flip: b, .. })
            | (Edit::Hand { flip: a, .. }, Edit::Hand { flip: b, .. })
            | (
                Edit::Forbid { flip: a },
                Edit::Forbid { flip: b } | Edit::Place { flip: b, .. } | Edit::Hand { flip: b, .. },
            )
            | (Edit::Place { flip: a, .. } | Edit::Hand { flip: a, .. }, Edit::Forbid { flip: b }) => a == b,
            (Edit::Preset { string: a, .. }, Edit::Preset { string: b, .. }) => a == b,
            (Edit::String { note: a, .. }, Edit::String { note: b, .. }) => a == b,
            _ => false,
        }
    }
}

/// The decisions with one more, which takes the place of those that it replaces.
pub fn with_edit(edits: &[Edit], edit: Edit) -> Vec<Edit> {
    edits.iter().copied().filter(|other| !edit.replaces(other)).chain([edit]).collect()
}

/// The decisions without one.
pub fn without_edit(edits: &[Edit], edit: &Edit) -> Vec<Edit> {
    edits.iter().copied().filter(|other| other != edit).collect()
}

/// A decision that can't be carried out, and why.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RefusedEdit {
    /// The decision; it stays in the player's list and counts again once it can be met.
    pub edit: Edit,
    /// Why not.
    pub reason: Refusal,
}

/// Why a decision can't be carried out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// The piece, as it is played, has no such bar.
    NoSuchBar,
    /// The bar is shorter than that.
    OutsideTheBar,
    /// The harp has no such string.
    NoSuchString,
    /// The string has no lever.
    NoLever,
    /// No note of this name is there.
    NoSuchNote,
    /// That string can't sound the note, neither with its lever down nor up.
    StringCannotSound,
    /// No such flip is needed.
    NotNeeded,
    /// The flip has to lie between two plucks of its string, and the wished moment doesn't.
    OutsideTheWindow(Window),
    /// One hand can't make this flip together with another that is fixed to the same moment.
    Collides(FlipName),
    /// A loop needs this flip to come back to its start.
    NeededByTheLoop,
}
