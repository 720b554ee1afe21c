//! Opening a piece.

use std::path::PathBuf;
use std::sync::Arc;

use leverlane_core::score::HandRule;

use super::{drilling, planning};
use crate::demo;
use crate::effects::Effect;
use crate::intent::FileIntent;
use crate::state::{Notice, Origin, Piece, Place, State};
use crate::words::Words;

pub(super) fn apply(state: &mut State, intent: FileIntent) -> Vec<Effect> {
    match intent {
        FileIntent::Ask => ask_for_file(state),
        FileIntent::Chosen(path) => file_chosen(state, path),
        FileIntent::Open(origin) => open(state, origin),
        FileIntent::OpenBytes { name, bytes } => open_bytes(state, name, bytes),
        FileIntent::Opened { job, result } => opened(state, job, result),
    }
}

fn ask_for_file(state: &mut State) -> Vec<Effect> {
    if state.work.asking {
        return Vec::new();
    }
    state.work.asking = true;
    vec![Effect::AskForFile(state.words())]
}

fn file_chosen(state: &mut State, path: Option<PathBuf>) -> Vec<Effect> {
    state.work.asking = false;
    path.map_or_else(Vec::new, |path| open(state, Origin::File(path)))
}

fn open(state: &mut State, origin: Origin) -> Vec<Effect> {
    let job = begin(state);
    vec![Effect::Read { job, origin }]
}

fn open_bytes(state: &mut State, name: String, bytes: Arc<[u8]>) -> Vec<Effect> {
    let job = begin(state);
    vec![Effect::Import { job, origin: Origin::Dropped(name), bytes }]
}

fn begin(state: &mut State) -> u64 {
    let job = state.work.next_job();
    state.work.opening = Some(job);
    state.notice = None;
    job
}

/// A refused file leaves the piece that was open as it is.
fn opened(state: &mut State, job: u64, result: Result<Arc<Piece>, String>) -> Vec<Effect> {
    if state.work.opening != Some(job) {
        return Vec::new();
    }
    state.work.opening = None;
    match result {
        Err(reason) => {
            state.notice = Some(Notice::error(reason));
            Vec::new()
        }
        Ok(piece) => {
            let mut effects = drilling::stop(state);
            state.notice = remark_on(&piece, state.words());
            let written = piece.performance.tempo().opening();
            state.wishes.goal = Some(written);
            state.wishes.edits.clear();
            state.wishes.hands = HandRule::default();
            state.history.clear();
            state.place = Place::Piece;
            if piece.origin == Origin::Demo {
                state.wishes.harp = demo::harp();
            }
            state.drill.tempo = Some(written);
            state.drill.selected = None;
            state.drill.looped = None;
            state.drill.waiting = None;
            state.plan = None;
            state.whole = None;
            state.piece = Some(piece);
            state.revision += 1;
            effects.extend(planning::order_plan(state));
            effects
        }
    }
}

fn remark_on(piece: &Piece, words: Words) -> Option<Notice> {
    let first = piece.warnings.first()?;
    let (name, first, more) = (piece.origin.name(words), first.to_string(), piece.warnings.len() - 1);
    Some(Notice::remark(
        words.with("file-remarks", [("name", name.into()), ("first", first.into()), ("more", more.into())]),
    ))
}
