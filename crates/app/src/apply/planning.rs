//! Asking for plans, and taking them in.

use std::sync::Arc;

use leverlane_core::drill::ChunkSize;
use leverlane_core::plan::{Change, Flip, Gesture, PlaceCost, with_edit, without_edit};
use leverlane_core::time::{ScoreTime, Tempo};
use leverlane_formats::documents::HarpDocument;

use super::{drilling, editing, harping, make_loop, pacing, practising, saving};
use crate::effects::{Effect, PlanOrder};
use crate::intent::{HarpIntent, PlanIntent};
use crate::state::{Costs, Document, Planned, State, Wishes};

pub(super) fn apply(state: &mut State, intent: PlanIntent) -> Vec<Effect> {
    match intent {
        PlanIntent::Made { job, planned } => plan_made(state, job, planned),
        PlanIntent::UsePace(pace) => wish(state, |wishes| wishes.pace = pace),
        PlanIntent::MeasurePace => pacing::ask(state),
        PlanIntent::Held(held) => pacing::held(state, &held),
        PlanIntent::GiveUp => give_up(state),
        PlanIntent::ChangeGoal(by) => change_goal(state, by),
        PlanIntent::TakeWayOut { problem, way } => take_way_out(state, problem, way),
        PlanIntent::ForgetEdits => wish(state, |wishes| {
            wishes.edits.clear();
            wishes.rewrites.clear();
        }),
        PlanIntent::UseHands(rule) => wish(state, |wishes| wishes.hands = rule),
        PlanIntent::UseCueLine(part) => wish(state, |wishes| wishes.cue_line = part),
        PlanIntent::Costed { job, gesture, places } => costed(state, job, gesture, places),
        PlanIntent::MoveTo(at) => editing::move_to(state, at),
        PlanIntent::Nudge(direction) => editing::nudge(state, direction),
        PlanIntent::GiveTo(hand) => editing::give_to(state, hand),
        PlanIntent::SwitchLock => editing::switch_lock(state),
        PlanIntent::Preset => editing::preset(state),
        PlanIntent::Forbid => editing::forbid(state),
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
    let arrangement = |wishes: &Wishes| (wishes.hands.clone(), wishes.cue_line, wishes.rewrites.clone());
    if arrangement(&state.wishes) != arrangement(before)
        && let Some(piece) = &state.piece
    {
        state.piece = Some(Arc::new(piece.arranged(&state.wishes)));
        state.revision += 1;
    }
    let mut effects = order_plan(state);
    effects.push(saving::for_recovery(state));
    if state.drill.tempo == before.goal
        && let Some(goal) = state.wishes.goal
    {
        effects.extend(drilling::use_tempo(state, goal));
    }
    effects
}

/// What was decided last is taken back, so that what is shown is the plan of what is decided; without a plan there is no
/// piece. The planner ends its work, but nobody waits for it.
fn give_up(state: &mut State) -> Vec<Effect> {
    if state.work.planning.take().is_none() {
        return Vec::new();
    }
    if state.plan.is_none() {
        state.piece = None;
        state.document = Document::default();
        state.revision += 1;
        return vec![Effect::ForgetRecovery];
    }
    let Some(before) = state.history.undo(&state.wishes) else { return Vec::new() };
    let wishes = std::mem::replace(&mut state.wishes, before);
    if (&state.wishes.hands, &state.wishes.rewrites) != (&wishes.hands, &wishes.rewrites)
        && let Some(piece) = &state.piece
    {
        state.piece = Some(Arc::new(piece.arranged(&state.wishes)));
        state.revision += 1;
    }
    vec![saving::for_recovery(state)]
}

fn change_goal(state: &mut State, by: f64) -> Vec<Effect> {
    let Some(goal) = state.wishes.goal else { return Vec::new() };
    wish(state, |wishes| wishes.goal = Some(changed(goal, by)))
}

/// A tempo so many of its own beats a minute faster, as far as tempos go.
pub(super) fn changed(tempo: Tempo, by: f64) -> Tempo {
    Tempo::beats(tempo.beat(), (tempo.per_minute() + by).round()).unwrap_or(tempo)
}

/// Has it worked out what the selected flip would cost elsewhere.
pub(super) fn order_costs(state: &mut State) -> Vec<Effect> {
    state.costs = None;
    state.work.costing = None;
    let (Some(gesture), Some(planned)) = (state.drill.selected, state.plan.clone()) else { return Vec::new() };
    let Some(order) = plan_order(state) else { return Vec::new() };
    let job = state.work.next_job();
    state.work.costing = Some(job);
    vec![Effect::Cost { job, order: Box::new(order), planned, gesture }]
}

fn costed(state: &mut State, job: u64, gesture: usize, places: Vec<PlaceCost>) -> Vec<Effect> {
    if state.work.costing == Some(job) {
        state.work.costing = None;
        state.costs = Some(Costs { gesture, places });
    }
    Vec::new()
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
        Change::Rewrite(rewrites) => wish(state, |wishes| wishes.rewrites.extend(rewrites)),
    }
}

/// Has the open piece planned for the present wishes; an older job's answer will be dropped.
pub(super) fn order_plan(state: &mut State) -> Vec<Effect> {
    let Some(order) = plan_order(state) else { return Vec::new() };
    let job = state.work.next_job();
    state.work.planning = Some(job);
    // What was worked out for the old plan doesn't hold for the new one.
    state.work.costing = None;
    vec![Effect::Plan { job, order: Box::new(order) }]
}

fn plan_order(state: &State) -> Option<PlanOrder> {
    let wishes = &state.wishes;
    Some(PlanOrder {
        piece: Arc::clone(state.piece.as_ref()?),
        harp: wishes.harp.harp(),
        pace: wishes.pace,
        goal: wishes.goal?,
        edits: wishes.edits.clone(),
    })
}

/// A new plan keeps the player where she was: at the flip that she had selected, even where it is made elsewhere now, or
/// else at the gesture nearest to it in time.
fn plan_made(state: &mut State, job: u64, planned: Arc<Planned>) -> Vec<Effect> {
    if state.work.planning != Some(job) {
        return Vec::new();
    }
    state.work.planning = None;
    let old = state
        .plan
        .as_ref()
        .zip(state.drill.selected)
        .and_then(|(old, selected)| old.plan.gestures.get(selected).cloned());
    let was_at = old.as_ref().map_or(ScoreTime::START, |gesture| gesture.at);
    let gestures = &planned.plan.gestures;
    let is_same = |gesture: &Gesture| {
        let named = |flip: &Flip| (flip.string, flip.to, flip.window.before);
        old.iter().flat_map(|old| &old.flips).any(|flip| gesture.flips.iter().any(|other| named(other) == named(flip)))
    };
    let nearest = || (0..gestures.len()).min_by_key(|&index| (gestures[index].at - was_at).get().unsigned_abs());
    state.drill.selected = gestures.iter().position(is_same).or_else(nearest);
    // The whole piece is shown at the goal: where its changes of tempo can't all be played, the written tempo will do.
    let piece = state.piece.clone();
    state.whole = piece.zip(state.wishes.goal).and_then(|(piece, goal)| {
        let at = |tempo| make_loop(&piece, &planned, None, ChunkSize::WholePiece, tempo, state.wishes.pace);
        at(goal).or_else(|_| at(piece.performance.tempo().opening())).ok().map(Arc::new)
    });
    state.plan = Some(planned);
    state.revision += 1;
    if state.lesson.is_some() && state.drill.practice.is_none() {
        let mut effects = practising::begin_lesson(state);
        effects.extend(order_costs(state));
        return effects;
    }
    let mut effects = order_costs(state);
    effects.extend(drilling::renew_loop(state));
    effects
}
