//! Choosing a flip, and playing the loop around it.

use std::sync::Arc;

use leverlane_core::drill::{ChunkSize, CueLevel, TimelineOptions};
use leverlane_core::plan::{EndOfPiece, HandPace, Request, look_times};
use leverlane_core::time::Tempo;

use leverlane_core::verdict::{ExpectedPass, PassRequest};
use leverlane_listening::Asked;

use super::{bars, judging, listening, make_cued_loop, planning, practising, settings};
use crate::effects::{Effect, SoundOrder};
use crate::intent::{Direction, DrillIntent};
use crate::names;
use crate::state::{Follows, Look, Loop, Mix, Notice, PassDesk, PassPlace, Place, State, Transport};

pub(super) fn apply(state: &mut State, intent: DrillIntent) -> Vec<Effect> {
    match intent {
        DrillIntent::Select(flip) => select(state, flip),
        DrillIntent::Next => step(state, Direction::Later),
        DrillIntent::Previous => step(state, Direction::Earlier),
        DrillIntent::UseChunkSize(size) => use_chunk_size(state, size),
        DrillIntent::TakeBars { first, last } => bars::take(state, first, last),
        DrillIntent::Join(direction) => bars::join(state, direction),
        DrillIntent::MoveEnd(end, direction) => bars::move_end(state, end, direction),
        DrillIntent::UseNotes(notes) => {
            state.drill.notes = notes;
            Vec::new()
        }
        DrillIntent::StartOrStop => start_or_stop(state),
        DrillIntent::Stop => stop(state),
        DrillIntent::ChangeTempo(by) => change_tempo(state, by),
        DrillIntent::TempoToGoal => tempo_to_goal(state),
        DrillIntent::SetLevel(voice, level) => mix(state, |mix| mix.set_level(voice, level)),
        DrillIntent::SwitchHand(hand) => mix(state, |mix| mix.switch(hand)),
        DrillIntent::Moved(place) => moved(state, place),
    }
}

pub(super) fn select(state: &mut State, flip: usize) -> Vec<Effect> {
    let count = state.plan.as_ref().map_or(0, |planned| planned.plan.gestures.len());
    if flip >= count {
        return Vec::new();
    }
    let mut effects = Vec::new();
    if state.drill.selected != Some(flip) {
        // A ladder is one flip's.
        effects.extend(practising::leave(state));
        state.drill.pass = PassDesk::default();
        bars::leave_unless_held(state, flip);
    }
    state.drill.selected = Some(flip);
    effects.extend(planning::order_costs(state));
    effects.extend(renew_loop(state));
    effects
}

/// On to the next flip.
pub(super) fn step_forward(state: &mut State) -> Vec<Effect> {
    step(state, Direction::Later)
}

fn step(state: &mut State, direction: Direction) -> Vec<Effect> {
    let count = state.plan.as_ref().map_or(0, |planned| planned.plan.gestures.len());
    if count == 0 {
        return Vec::new();
    }
    let next = match (state.drill.selected, direction) {
        (None, Direction::Later) => 0,
        (None, Direction::Earlier) => count - 1,
        (Some(now), Direction::Later) => (now + 1) % count,
        (Some(now), Direction::Earlier) => (now + count - 1) % count,
    };
    select(state, next)
}

pub(super) fn use_chunk_size(state: &mut State, size: ChunkSize) -> Vec<Effect> {
    if state.drill.size == size {
        return Vec::new();
    }
    state.drill.size = size;
    if let Some(desk) = &mut state.drill.practice {
        desk.practice.use_size(size);
    }
    renew_loop(state)
}

pub(super) fn start_or_stop(state: &mut State) -> Vec<Effect> {
    if state.drill.transport.is_playing() {
        return stop(state);
    }
    let Some(looped) = &state.drill.looped else { return Vec::new() };
    let looped = Arc::clone(looped);
    state.drill.pass.begin_pass();
    state.place = Place::Drill;
    let broken_off = listening::break_off_measuring(state);
    broken_off.into_iter().chain([begin(state, looped)]).collect()
}

/// Counts in and plays.
fn begin(state: &mut State, looped: Arc<Loop>) -> Effect {
    state.drill.transport = Transport::Playing(None);
    state.drill.take += 1;
    Effect::Sound(SoundOrder::Start { looped, mix: state.sounding_mix(), take: state.drill.take })
}

pub(super) fn stop(state: &mut State) -> Vec<Effect> {
    if !state.drill.transport.is_playing() {
        return Vec::new();
    }
    state.drill.transport = Transport::Stopped;
    if state.drill.practice.as_ref().is_some_and(|desk| desk.at_seam == Some(Follows::Rung)) {
        judging::take_up_rung(state);
        let next = derived_loop(state);
        show_loop(state, next);
    } else if let Some(next) = state.drill.waiting.take() {
        show_loop(state, Some(next));
    }
    vec![Effect::Sound(SoundOrder::Stop)]
}

fn change_tempo(state: &mut State, by: f64) -> Vec<Effect> {
    if let Some(desk) = &mut state.drill.practice {
        desk.at_seam = None;
        let tempo = desk.practice.go_to_rung(if by > 0.0 { 1 } else { -1 });
        return use_tempo(state, tempo);
    }
    let Some(tempo) = state.drill.tempo else { return Vec::new() };
    use_tempo(state, planning::changed(tempo, by))
}

fn tempo_to_goal(state: &mut State) -> Vec<Effect> {
    if let Some(desk) = &mut state.drill.practice {
        desk.at_seam = None;
        let tempo = desk.practice.go_to_rung(isize::MAX);
        return use_tempo(state, tempo);
    }
    let Some(goal) = state.wishes.goal else { return Vec::new() };
    use_tempo(state, goal)
}

/// Takes effect with the next pass: the pulse of the one that sounds is not broken.
pub(super) fn use_tempo(state: &mut State, tempo: Tempo) -> Vec<Effect> {
    if state.drill.tempo == Some(tempo) {
        return Vec::new();
    }
    state.drill.tempo = Some(tempo);
    let next = derived_loop(state);
    match next {
        Some(next) if state.drill.transport.is_playing() => {
            state.drill.waiting = Some(Arc::clone(&next));
            vec![Effect::Sound(SoundOrder::NextPass(next))]
        }
        next => {
            show_loop(state, next);
            Vec::new()
        }
    }
}

/// Takes note of how far the sound has got; with a new pass, what waited for it is what is looped.
fn moved(state: &mut State, place: PassPlace) -> Vec<Effect> {
    let Transport::Playing(before) = state.drill.transport else { return Vec::new() };
    state.drill.transport = Transport::Playing(Some(place));
    let Some(before) = before.filter(|before| place.pass > before.pass) else { return Vec::new() };
    // The pass is judged by the loop that it was played on.
    let effects = judging::pass_over(state, before.pass);
    if let Some(next) = state.drill.waiting.take() {
        show_loop(state, Some(next));
    }
    effects
}

fn mix(state: &mut State, change: impl FnOnce(&mut Mix)) -> Vec<Effect> {
    change(&mut state.settings.mix);
    vec![Effect::Sound(SoundOrder::Mix(state.sounding_mix())), settings::keep(state)]
}

/// The loop with other cues, from the next pass on.
pub(super) fn renew_at_next_pass(state: &mut State) -> Vec<Effect> {
    let Some(next) = derived_loop(state) else { return Vec::new() };
    state.drill.waiting = Some(Arc::clone(&next));
    vec![Effect::Sound(SoundOrder::NextPass(next))]
}

/// The loop of the selected flip, after the flip, the plan or the size has changed. What was sounding gives way to the
/// new loop, count-in first.
pub(super) fn renew_loop(state: &mut State) -> Vec<Effect> {
    let old = state.drill.looped.take();
    let new = derived_loop(state);
    let is_same = old == new && state.drill.waiting.is_none();
    show_loop(state, new);
    match state.drill.looped.clone() {
        _ if is_same || !state.drill.transport.is_playing() => Vec::new(),
        None => stop(state),
        Some(looped) => vec![begin(state, looped)],
    }
}

fn show_loop(state: &mut State, looped: Option<Arc<Loop>>) {
    state.drill.looped = looped;
    state.drill.waiting = None;
    state.revision += 1;
}

fn derived_loop(state: &mut State) -> Option<Arc<Loop>> {
    let (piece, planned, tempo) = (state.piece.as_ref()?, state.plan.as_ref()?, state.drill.tempo?);
    let cues = state.drill.practice.as_ref().map_or_else(CueLevel::default, |desk| desk.practice.cueing.level());
    let options = TimelineOptions { cues, speech: state.drill.speech, ..TimelineOptions::default() };
    match make_cued_loop(piece, planned, state.drill.selected, state.drill.size, tempo, state.wishes.pace, options) {
        Ok(looped) => {
            let asked = asked(state, &looped);
            let looks = looks(state, &looped, tempo);
            Some(Arc::new(Loop { asked, looks, ..looped }))
        }
        Err(error) => {
            let reason = state.words().said(&names::chunk_error(error));
            state.notice = Some(Notice::error(state.words().with("drill-no-loop", [("reason", reason.into())])));
            None
        }
    }
}

/// What a pass through a loop asks of the player.
fn asked(state: &State, looped: &Loop) -> Option<Arc<Asked>> {
    let (piece, planned) = (state.piece.as_ref()?, state.plan.as_ref()?);
    let request = PassRequest {
        chunk: &looped.chunk,
        performance: &piece.performance,
        plan: &planned.plan,
        harp: &planned.harp,
        hands: state.played_hands(),
    };
    Some(Arc::new(Asked { expected: ExpectedPass::of(&request), harp: planned.harp.clone() }))
}

/// Where the eyes are around the planned flips of a loop. Of flips written down from paper it isn't known: the notes around
/// them are missing.
fn looks(state: &State, looped: &Loop, tempo: Tempo) -> Vec<Look> {
    let (Some(piece), Some(planned)) = (&state.piece, &state.plan) else { return Vec::new() };
    let performance = &piece.performance;
    let Ok(tempo) = performance.tempo().opening_at(tempo) else { return Vec::new() };
    if piece.flips.is_some() {
        return Vec::new();
    }
    let pace = HandPace::from(state.wishes.pace);
    let ending = EndOfPiece::Stop;
    let request = Request { performance, harp: &planned.harp, tempo: &tempo, pace: &pace, edits: &[], ending };
    let all = look_times(&request, &planned.plan);
    let placed = planned.plan.gestures.iter().zip(&all);
    let own = placed.skip(looped.chunk.gestures.start).take(looped.chunk.gestures.len());
    own.map(|(gesture, look)| Look {
        to_lever: look.to_lever_at - looped.chunk.starts,
        flip: gesture.at - looped.chunk.starts,
        to_strings: look.to_strings_at.map(|at| at - looped.chunk.starts),
    })
    .collect()
}
