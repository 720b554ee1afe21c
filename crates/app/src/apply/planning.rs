//! Asking for plans, and taking them in.

use std::sync::Arc;

use leverlane_core::plan::{Change, with_edit, without_edit};
use leverlane_core::time::{ScoreTime, Tempo};

use super::drilling;
use crate::effects::{Effect, PlanOrder};
use crate::state::{HarpChoice, Planned, State, Wishes};

/// Changes what the player wishes and asks for a new plan if that made a difference.
pub(super) fn wish(state: &mut State, change: impl FnOnce(&mut Wishes)) -> Vec<Effect> {
    let before = state.wishes.clone();
    change(&mut state.wishes);
    if state.wishes == before { Vec::new() } else { order_plan(state) }
}

pub(super) fn change_goal(state: &mut State, by: f64) -> Vec<Effect> {
    let Some(goal) = state.wishes.goal else { return Vec::new() };
    use_goal(state, changed(goal, by))
}

/// Practising at the goal tempo follows it; practising below it stays where it is.
fn use_goal(state: &mut State, goal: Tempo) -> Vec<Effect> {
    let followed = state.drill.tempo == state.wishes.goal;
    let mut effects = wish(state, |wishes| wishes.goal = Some(goal));
    if followed {
        effects.extend(drilling::use_tempo(state, goal));
    }
    effects
}

/// A tempo so many of its own beats a minute faster, as far as tempos go.
pub(super) fn changed(tempo: Tempo, by: f64) -> Tempo {
    Tempo::beats(tempo.beat(), (tempo.per_minute() + by).round()).unwrap_or(tempo)
}

pub(super) fn take_way_out(state: &mut State, problem: usize, way: usize) -> Vec<Effect> {
    let Some(planned) = &state.plan else { return Vec::new() };
    let Some(way_out) = planned.plan.problems.get(problem).and_then(|problem| problem.ways_out.get(way)).cloned()
    else {
        return Vec::new();
    };
    match way_out.change {
        Change::NoFasterThan(tempo) => use_goal(state, tempo),
        Change::Tuning(tuning) => wish(state, |wishes| wishes.harp.tuning = tuning),
        Change::Harp(preset, tuning) => wish(state, |wishes| wishes.harp = HarpChoice { preset, tuning }),
        Change::Edit(edit) | Change::DampAndFlip(edit) => {
            wish(state, |wishes| wishes.edits = with_edit(&wishes.edits, edit))
        }
        Change::Withdraw(edit) => wish(state, |wishes| wishes.edits = without_edit(&wishes.edits, &edit)),
        // The window keeps neither changed notes nor single retuned strings, and doesn't offer these.
        Change::Rewrite(_) | Change::Retune { .. } => Vec::new(),
    }
}

/// Has the open piece planned for the present wishes; an older job's answer will be dropped.
pub(super) fn order_plan(state: &mut State) -> Vec<Effect> {
    let (Some(piece), Some(goal)) = (&state.piece, state.wishes.goal) else { return Vec::new() };
    let piece = Arc::clone(piece);
    let job = state.work.next_job();
    state.work.planning = Some(job);
    let order =
        PlanOrder { piece, harp: state.wishes.harp, pace: state.wishes.pace, goal, edits: state.wishes.edits.clone() };
    vec![Effect::Plan { job, order: Box::new(order) }]
}

/// A new plan keeps the player where she was: at the gesture nearest in time to the one she had selected.
pub(super) fn plan_made(state: &mut State, job: u64, planned: Arc<Planned>) -> Vec<Effect> {
    if state.work.planning != Some(job) {
        return Vec::new();
    }
    state.work.planning = None;
    let was_at = state
        .plan
        .as_ref()
        .zip(state.drill.selected)
        .and_then(|(old, selected)| old.plan.gestures.get(selected))
        .map_or(ScoreTime::START, |gesture| gesture.at);
    let gestures = &planned.plan.gestures;
    state.drill.selected = (0..gestures.len()).min_by_key(|&index| (gestures[index].at - was_at).get().unsigned_abs());
    state.plan = Some(planned);
    state.revision += 1;
    drilling::renew_loop(state)
}
