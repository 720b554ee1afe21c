//! Bars of the player's own choice, and joining those of neighbouring flips.

use std::ops::RangeInclusive;

use leverlane_core::drill::{Chunk, ChunkRequest, ChunkSize};
use leverlane_core::plan::HandPace;

use super::drilling;
use crate::effects::Effect;
use crate::intent::{Direction, LoopEnd};
use crate::state::State;

/// Loops these bars. The flip that is selected stays, if they hold it; else their first one is drilled. Where they hold
/// none, they are looped by themselves.
pub(super) fn take(state: &mut State, first: usize, last: usize) -> Vec<Effect> {
    let (first, last) = (first.min(last), first.max(last));
    let Some(flips) = flips_of(state, first..=last) else { return Vec::new() };
    let mut effects = Vec::new();
    match flips.first() {
        _ if state.drill.selected.is_some_and(|selected| flips.contains(&selected)) => {}
        Some(&flip) => effects.extend(drilling::select(state, flip)),
        None => {
            state.drill.selected = None;
            state.drill.practice = None;
        }
    }
    effects.extend(drilling::use_chunk_size(state, own(first, last)));
    effects
}

/// Loops the bars of the next flip beyond the loop as well, or of the one before it.
pub(super) fn join(state: &mut State, direction: Direction) -> Vec<Effect> {
    let Some((first, last)) = joined(state, direction) else { return Vec::new() };
    drilling::use_chunk_size(state, own(first, last))
}

fn joined(state: &State, direction: Direction) -> Option<(usize, usize)> {
    let (piece, planned, looped) = (state.piece.as_ref()?, state.plan.as_ref()?, state.drill.looped.as_ref()?);
    let chunk = &looped.chunk;
    let neighbour = match direction {
        Direction::Earlier => chunk.gestures.start.checked_sub(1)?,
        Direction::Later => chunk.gestures.end,
    };
    let (performance, pace) = (&piece.performance, HandPace::from(state.wishes.pace));
    let tempo = performance.tempo().opening();
    let request = ChunkRequest { performance, plan: &planned.plan, harp: &planned.harp, pace: &pace, tempo };
    // There is none beyond the last flip.
    let other = Chunk::around(&request, neighbour, ChunkSize::FlipBar).ok()?;
    Some((chunk.first.min(other.first), chunk.last.max(other.last)))
}

/// A bar more or less at one end, as far as there are bars; one always stays.
pub(super) fn move_end(state: &mut State, end: LoopEnd, direction: Direction) -> Vec<Effect> {
    let (Some(piece), Some(looped)) = (&state.piece, &state.drill.looped) else { return Vec::new() };
    let most = piece.performance.bars().len().saturating_sub(1);
    let (first, last) = (looped.chunk.first, looped.chunk.last);
    match (end, direction) {
        (LoopEnd::Begin, Direction::Earlier) => take(state, first.saturating_sub(1), last),
        (LoopEnd::Begin, Direction::Later) => take(state, (first + 1).min(last), last),
        (LoopEnd::End, Direction::Earlier) => take(state, first, last.saturating_sub(1).max(first)),
        (LoopEnd::End, Direction::Later) => take(state, first, (last + 1).min(most)),
    }
}

/// Bars of her own are left for a flip that they don't hold.
pub(super) fn leave_unless_held(state: &mut State, flip: usize) {
    if let ChunkSize::Bars { first, last } = state.drill.size
        && flips_of(state, first as usize..=last as usize).is_none_or(|flips| !flips.contains(&flip))
    {
        state.drill.size = ChunkSize::default();
    }
}

/// The gestures of the plan in these bars.
fn flips_of(state: &State, bars: RangeInclusive<usize>) -> Option<Vec<usize>> {
    let gestures = state.plan.as_ref()?.plan.gestures.iter().enumerate();
    Some(gestures.filter(|(_, gesture)| bars.contains(&gesture.played_bar)).map(|(index, _)| index).collect())
}

fn own(first: usize, last: usize) -> ChunkSize {
    let place = |bar: usize| u32::try_from(bar).unwrap_or(u32::MAX);
    ChunkSize::Bars { first: place(first), last: place(last) }
}
