//! What can be asked about the plan.

use std::sync::Arc;

use leverlane_core::plan::{Pace, PlaceCost};
use leverlane_core::score::{Hand, HandRule};
use leverlane_core::time::ScoreTime;
use leverlane_diary::HeldFlip;

use super::Intent;
use crate::state::Planned;

/// One thing asked about the plan and the player's decisions.
#[derive(Clone, Debug)]
pub enum PlanIntent {
    /// A planning job is done.
    Made {
        /// Which job.
        job: u64,
        /// What came of it.
        planned: Arc<Planned>,
    },
    /// Don't wait for the plan that is being made.
    GiveUp,
    /// Plan for hands this fast.
    UsePace(Pace),
    /// Plan for hands as fast as the diary shows the player's own to be.
    MeasurePace,
    /// The diary has told what was held of the open piece's flips.
    Held(Vec<HeldFlip>),
    /// Change the tempo the plan must hold at by so many of its beats a minute.
    ChangeGoal(f64),
    /// Do what a problem's way out says.
    TakeWayOut {
        /// The problem, by its place in the plan.
        problem: usize,
        /// The way out, by its place in the problem.
        way: usize,
    },
    /// What it would cost to make a flip elsewhere has been worked out.
    Costed {
        /// Which job.
        job: u64,
        /// The gesture, by its place in the plan.
        gesture: usize,
        /// Every place with either hand.
        places: Vec<PlaceCost>,
    },
    /// Make the selected flip at this moment.
    MoveTo(ScoreTime),
    /// Make the selected flip at the next place where it can be made, earlier or later.
    Nudge(Direction),
    /// Make the selected flip with this hand.
    GiveTo(Hand),
    /// Fix the selected flip where it is, or leave it to the planner again.
    SwitchLock,
    /// Set the selected flip's levers before the start instead of making it.
    Preset,
    /// Don't make the selected flip.
    Forbid,
    /// Give notes to hands by this rule.
    UseHands(HandRule),
    /// Keep this part, by its place in the score, as a cue line; none of them where it is none.
    UseCueLine(Option<usize>),
    /// Give up all decisions about single flips.
    ForgetEdits,
    /// Take back the last decision.
    Undo,
    /// Decide again what was taken back.
    Redo,
}

/// Earlier or later in the music.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// Earlier.
    Earlier,
    /// Later.
    Later,
}

impl From<PlanIntent> for Intent {
    fn from(intent: PlanIntent) -> Intent {
        Intent::Plan(intent)
    }
}
