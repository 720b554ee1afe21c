//! Asking for plans, and taking them in.

use std::sync::Arc;

use leverlane_core::drill::ChunkSize;
use leverlane_core::plan::{Change, with_edit, without_edit};
use leverlane_core::time::{ScoreTime, Tempo};
use leverlane_formats::documents::HarpDocument;

use super::{drilling, harping, make_loop};
use crate::effects::{Effect, PlanOrder};
use crate::intent::{HarpIntent, PlanIntent};
use crate::state::{Planned, State, Wishes};

pub(super) fn apply(state: &mut State, intent: PlanIntent) -> Vec<Effect> {
    match intent {
        PlanIntent::Made { job, planned } => plan_made(state, job, planned),
        PlanIntent::UsePace(pace) => wish(state, |wishes| wishes.pace = pace),
        PlanIntent::ChangeGoal(by) => change_goal(state, by),
        PlanIntent::TakeWayOut { problem, way } => take_way_out(state, problem, way),
        PlanIntent::ForgetEdits => wish(state, |wishes| wishes.edits.clear()),
        PlanIntent::Undo => undo(state),
        PlanIntent::Redo => redo(state),
    }
}

/// Changes what the player wishes, remembers what was before, and asks for a new plan if that made a difference.
pub(super) fn wish(state: &mut State, change: impl FnOnce(&mut Wishes)) -> Vec<Effect> {
    let before = state.wishes.clone();
    change(&mut state.wishes);
    if state.wishes == before {
        return Vec::new();
    }
    state.history.remember(before.clone());
    follow(state, &before)
}

fn undo(state: &mut State) -> Vec<Effect> {
    match state.history.undo(&state.wishes) {
        Some(wishes) => go_over_to(state, wishes),
        None => Vec::new(),
    }
}

fn redo(state: &mut State) -> Vec<Effect> {
    match state.history.redo(&state.wishes) {
        Some(wishes) => go_over_to(state, wishes),
        None => Vec::new(),
    }
}

fn go_over_to(state: &mut State, wishes: Wishes) -> Vec<Effect> {
    let before = std::mem::replace(&mut state.wishes, wishes);
    follow(state, &before)
}

/// What follows from a change of wishes. Practising at the goal tempo follows it; practising below it stays where it is.
fn follow(state: &mut State, before: &Wishes) -> Vec<Effect> {
    if state.wishes.hands != before.hands
        && let Some(piece) = &state.piece
    {
        state.piece = Some(Arc::new(piece.with_hands(&state.wishes.hands)));
    }
    let mut effects = order_plan(state);
    if state.drill.tempo == before.goal
        && let Some(goal) = state.wishes.goal
    {
        effects.extend(drilling::use_tempo(state, goal));
    }
    effects
}

fn change_goal(state: &mut State, by: f64) -> Vec<Effect> {
    let Some(goal) = state.wishes.goal else { return Vec::new() };
    wish(state, |wishes| wishes.goal = Some(changed(goal, by)))
}

/// A tempo so many of its own beats a minute faster, as far as tempos go.
pub(super) fn changed(tempo: Tempo, by: f64) -> Tempo {
    Tempo::beats(tempo.beat(), (tempo.per_minute() + by).round()).unwrap_or(tempo)
}

fn take_way_out(state: &mut State, problem: usize, way: usize) -> Vec<Effect> {
    let Some(planned) = &state.plan else { return Vec::new() };
    let Some(way_out) = planned.plan.problems.get(problem).and_then(|problem| problem.ways_out.get(way)).cloned()
    else {
        return Vec::new();
    };
    match way_out.change {
        Change::NoFasterThan(tempo) => wish(state, |wishes| wishes.goal = Some(tempo)),
        Change::Tuning(tuning) => harping::apply(state, HarpIntent::UseTuning(tuning)),
        Change::Harp(preset, tuning) => {
            let levers_on = None;
            harping::play_on(state, HarpDocument::Preset { name: String::new(), preset, tuning, levers_on })
        }
        Change::Retune { string, open } => harping::apply(state, HarpIntent::Tune(string, open.alter())),
        Change::Edit(edit) | Change::DampAndFlip(edit) => {
            wish(state, |wishes| wishes.edits = with_edit(&wishes.edits, edit))
        }
        Change::Withdraw(edit) => wish(state, |wishes| wishes.edits = without_edit(&wishes.edits, &edit)),
        // The window doesn't keep changed notes, and doesn't offer this.
        Change::Rewrite(_) => Vec::new(),
    }
}

/// Has the open piece planned for the present wishes; an older job's answer will be dropped.
pub(super) fn order_plan(state: &mut State) -> Vec<Effect> {
    let (Some(piece), Some(goal)) = (&state.piece, state.wishes.goal) else { return Vec::new() };
    let piece = Arc::clone(piece);
    let job = state.work.next_job();
    state.work.planning = Some(job);
    let order = PlanOrder {
        piece,
        harp: state.wishes.harp.harp(),
        pace: state.wishes.pace,
        goal,
        edits: state.wishes.edits.clone(),
    };
    vec![Effect::Plan { job, order: Box::new(order) }]
}

/// A new plan keeps the player where she was: at the gesture nearest in time to the one she had selected.
fn plan_made(state: &mut State, job: u64, planned: Arc<Planned>) -> Vec<Effect> {
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
    // The whole piece is shown at the goal: where its changes of tempo can't all be played, the written tempo will do.
    let piece = state.piece.clone();
    state.whole = piece.zip(state.wishes.goal).and_then(|(piece, goal)| {
        let at = |tempo| make_loop(&piece, &planned, None, ChunkSize::WholePiece, tempo, state.wishes.pace);
        at(goal).or_else(|_| at(piece.performance.tempo().opening())).ok().map(Arc::new)
    });
    state.plan = Some(planned);
    state.revision += 1;
    drilling::renew_loop(state)
}
