//! Changing single flips: where they are made, with which hand, and whether at all.

use leverlane_core::plan::{Edit, FlipName, Gesture, PlaceCost, with_edit};
use leverlane_core::score::Hand;
use leverlane_core::time::ScoreTime;

use super::planning;
use crate::effects::Effect;
use crate::intent::Direction;
use crate::state::{Piece, State, Wishes};

/// The selected gesture and the names of its flips.
fn selected(state: &State) -> Option<(&Gesture, Vec<FlipName>)> {
    let gesture = state.plan.as_ref()?.plan.gestures.get(state.drill.selected?)?;
    let piece = state.piece.as_ref()?;
    Some((gesture, names(piece, gesture)))
}

/// The flips of a gesture by the plucks that need them.
pub(super) fn names(piece: &Piece, gesture: &Gesture) -> Vec<FlipName> {
    let performance = &piece.performance;
    let named = gesture.flips.iter().filter_map(|flip| {
        let needed = flip.window.before;
        let bar = performance.bars().get(performance.bar_at(needed))?;
        Some(FlipName {
            string: flip.string,
            to: flip.to,
            needed_in: bar.bar,
            needed_at: needed - bar.starts,
            time_through: bar.earlier_times,
        })
    });
    named.collect()
}

/// Adds one decision for each flip of the selected gesture.
fn decide(state: &mut State, decision: impl Fn(FlipName, &Gesture, &Piece) -> Option<Edit>) -> Vec<Effect> {
    let Some((gesture, names)) = selected(state) else { return Vec::new() };
    let Some(piece) = state.piece.clone() else { return Vec::new() };
    let edits: Vec<Edit> = names.into_iter().filter_map(|name| decision(name, gesture, &piece)).collect();
    planning::wish(state, |wishes| add(wishes, &edits))
}

fn add(wishes: &mut Wishes, edits: &[Edit]) {
    for &edit in edits {
        wishes.edits = with_edit(&wishes.edits, edit);
    }
}

/// A moment as a place of a written bar.
fn place_edit(piece: &Piece, flip: FlipName, at: ScoreTime) -> Option<Edit> {
    let bar = piece.performance.bars().get(piece.performance.bar_at(at))?;
    Some(Edit::Place { flip, bar: bar.bar, at: at - bar.starts })
}

/// Makes the selected flip at this moment; nothing happens where it is made there already.
pub(super) fn move_to(state: &mut State, at: ScoreTime) -> Vec<Effect> {
    decide(state, |flip, gesture, piece| if gesture.at == at { None } else { place_edit(piece, flip, at) })
}

/// Makes the selected flip at the next place at which it can be made.
pub(super) fn nudge(state: &mut State, direction: Direction) -> Vec<Effect> {
    let Some((gesture, _)) = selected(state) else { return Vec::new() };
    let Some(costs) = state.costs.as_ref().filter(|costs| Some(costs.gesture) == state.drill.selected) else {
        return Vec::new();
    };
    let now = gesture.at;
    let moments = costs.places.iter().map(|place: &PlaceCost| place.at);
    let next = match direction {
        Direction::Earlier => moments.filter(|at| *at < now).max(),
        Direction::Later => moments.filter(|at| *at > now).min(),
    };
    next.map_or_else(Vec::new, |at| move_to(state, at))
}

/// Makes the selected flip with this hand.
pub(super) fn give_to(state: &mut State, hand: Hand) -> Vec<Effect> {
    decide(state, |flip, _, _| Some(Edit::Hand { flip, hand }))
}

/// Fixes the selected flip's place and hand as they are, or leaves both to the planner again.
pub(super) fn switch_lock(state: &mut State) -> Vec<Effect> {
    let Some((gesture, names)) = selected(state) else { return Vec::new() };
    if gesture.locked {
        let about = |edit: &Edit| match edit {
            Edit::Place { flip, .. } | Edit::Hand { flip, .. } => names.contains(flip),
            _ => false,
        };
        return planning::wish(state, |wishes| wishes.edits.retain(|edit| !about(edit)));
    }
    let (at, hand) = (gesture.at, gesture.hand);
    let Some(piece) = state.piece.clone() else { return Vec::new() };
    let places = names.iter().filter_map(|&flip| place_edit(&piece, flip, at));
    let edits: Vec<Edit> = places.chain(names.iter().map(|&flip| Edit::Hand { flip, hand })).collect();
    planning::wish(state, |wishes| add(wishes, &edits))
}

/// Sets the selected flip's levers before the start.
pub(super) fn preset(state: &mut State) -> Vec<Effect> {
    decide(state, |flip, _, _| Some(Edit::Preset { string: flip.string, state: flip.to }))
}

/// Doesn't make the selected flip.
pub(super) fn forbid(state: &mut State) -> Vec<Effect> {
    decide(state, |flip, _, _| Some(Edit::Forbid { flip }))
}
