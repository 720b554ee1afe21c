//! What can be asked about the plan.

use std::sync::Arc;

use leverlane_core::plan::PaceLevel;

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
    /// Plan for hands this fast.
    UsePace(PaceLevel),
    /// Change the tempo the plan must hold at by so many of its beats a minute.
    ChangeGoal(f64),
    /// Do what a problem's way out says.
    TakeWayOut {
        /// The problem, by its place in the plan.
        problem: usize,
        /// The way out, by its place in the problem.
        way: usize,
    },
    /// Give up all decisions about single flips.
    ForgetEdits,
    /// Take back the last decision.
    Undo,
    /// Decide again what was taken back.
    Redo,
}

impl From<PlanIntent> for Intent {
    fn from(intent: PlanIntent) -> Intent {
        Intent::Plan(intent)
    }
}
