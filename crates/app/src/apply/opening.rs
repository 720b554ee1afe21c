//! Opening a piece.

use std::path::PathBuf;
use std::sync::Arc;

use super::{drilling, planning};
use crate::demo;
use crate::effects::Effect;
use crate::state::{Notice, Origin, Piece, State};

pub(super) fn ask_for_file(state: &mut State) -> Vec<Effect> {
    if state.work.asking {
        return Vec::new();
    }
    state.work.asking = true;
    vec![Effect::AskForFile]
}

pub(super) fn file_chosen(state: &mut State, path: Option<PathBuf>) -> Vec<Effect> {
    state.work.asking = false;
    path.map_or_else(Vec::new, |path| open(state, Origin::File(path)))
}

pub(super) fn open(state: &mut State, origin: Origin) -> Vec<Effect> {
    let job = begin(state);
    vec![Effect::Read { job, origin }]
}

pub(super) fn open_bytes(state: &mut State, name: String, bytes: Arc<[u8]>) -> Vec<Effect> {
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
pub(super) fn opened(state: &mut State, job: u64, result: Result<Arc<Piece>, String>) -> Vec<Effect> {
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
            state.notice = remark_on(&piece);
            let written = piece.performance.tempo().opening();
            state.wishes.goal = Some(written);
            state.wishes.edits.clear();
            if piece.origin == Origin::Demo {
                state.wishes.harp = demo::harp();
            }
            state.drill.tempo = Some(written);
            state.drill.selected = None;
            state.drill.looped = None;
            state.drill.waiting = None;
            state.plan = None;
            state.piece = Some(piece);
            state.revision += 1;
            effects.extend(planning::order_plan(state));
            effects
        }
    }
}

fn remark_on(piece: &Piece) -> Option<Notice> {
    let first = piece.warnings.first()?;
    let more = match piece.warnings.len() - 1 {
        0 => String::new(),
        more => format!(" (and {more} more such remarks)"),
    };
    Some(Notice::remark(format!("{}: {first}{more}", piece.origin.name())))
}
