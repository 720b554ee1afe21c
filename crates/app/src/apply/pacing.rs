//! The player's own pace, from what her diary says of the open piece.

use leverlane_core::drill::GoalHeld;
use leverlane_core::plan::{Goal, Pace, PaceFactor, TempoLimit};
use leverlane_diary::HeldFlip;

use super::planning::wish;
use crate::effects::{Asker, DiaryOrder, Effect};
use crate::state::{Notice, Piece, Planned, State};

pub(super) fn ask(state: &mut State) -> Vec<Effect> {
    let Some(piece) = &state.piece else { return Vec::new() };
    vec![Effect::Diary(DiaryOrder::Held { piece: piece.digest(), asker: Asker::Pace })]
}

pub(super) fn held(state: &mut State, held: &[HeldFlip]) -> Vec<Effect> {
    let (Some(piece), Some(planned)) = (&state.piece, &state.plan) else { return Vec::new() };
    let limits: Vec<TempoLimit> = held.iter().filter_map(|held| limit(piece, planned, held)).collect();
    let Some(factor) = PaceFactor::measured(state.wishes.pace, &limits) else {
        state.notice = Some(Notice::remark(state.words().text("pace-unknown")));
        return Vec::new();
    };
    let factor_words = state.words().decimal(factor.get(), 2);
    state.notice = Some(Notice::remark(state.words().with("pace-found", [("factor", factor_words.into())])));
    wish(state, |wishes| wishes.pace = Pace::Measured(factor))
}

/// What was held, beside the plan's limit for the same gesture. A tempo is known as the piece would begin with it; the
/// limit holds where the flip is.
fn limit(piece: &Piece, planned: &Planned, held: &HeldFlip) -> Option<TempoLimit> {
    let gesture = planned.plan.gestures.iter().find(|gesture| {
        let is_it = |flip: &leverlane_core::plan::Flip| (flip.string, flip.to) == (held.string, held.to);
        gesture.at.since_start().get() == held.at_ticks && gesture.flips.iter().any(is_it)
    })?;
    let written = piece.performance.tempo();
    let there = written.tempo_at(gesture.at).quarters_per_minute() / written.opening().quarters_per_minute();
    let goal = match held.goal_held {
        GoalHeld::Held => Goal::Reached,
        GoalHeld::NotYet => Goal::NotReached,
    };
    Some(TempoLimit { top: gesture.top_tempo?.quarters_per_minute, held: held.held * there, goal })
}
