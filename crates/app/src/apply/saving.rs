//! Saving, closing, and what survives a crash.

use leverlane_formats::Said;
use std::path::PathBuf;

use super::{judging, opening, settings};
use crate::effects::Effect;
use crate::intent::Answer;
use crate::state::{AfterSaving, Next, Notice, Question, State, Wishes};

/// Keeps the open piece for the case of a crash, as far as it is in no file of the player's.
pub(super) fn for_recovery(state: &State) -> Effect {
    match state.to_document() {
        Some(document) if state.has_unsaved_changes() => Effect::KeepForRecovery(Box::new(document)),
        _ => Effect::ForgetRecovery,
    }
}

pub(super) fn save(state: &mut State) -> Vec<Effect> {
    match state.document.path.clone() {
        Some(path) => save_in(state, path),
        None => save_as(state),
    }
}

pub(super) fn save_as(state: &mut State) -> Vec<Effect> {
    let Some(piece) = &state.piece else { return Vec::new() };
    if state.work.asking {
        return Vec::new();
    }
    state.work.asking = true;
    vec![Effect::AskWhereToSave { words: state.words(), name: format!("{}.ron", piece.title(state.words())) }]
}

pub(super) fn save_to(state: &mut State, path: Option<PathBuf>) -> Vec<Effect> {
    state.work.asking = false;
    match path {
        Some(path) => save_in(state, path),
        None => {
            state.work.after_saving = AfterSaving::Nothing;
            Vec::new()
        }
    }
}

fn save_in(state: &State, path: PathBuf) -> Vec<Effect> {
    let Some(document) = state.to_document() else { return Vec::new() };
    vec![Effect::Save { path, document: Box::new(document), wishes: Box::new(state.wishes.clone()) }]
}

pub(super) fn saved(state: &mut State, path: PathBuf, wishes: Wishes, result: Result<(), Said>) -> Vec<Effect> {
    let next = std::mem::take(&mut state.work.after_saving);
    if let Err(reason) = result {
        state.notice = Some(Notice::error(state.words().said(&reason)));
        return Vec::new();
    }
    state.settings.remember_file(path.clone());
    state.document.path = Some(path);
    state.document.kept = Some(wishes);
    let mut effects = vec![settings::keep(state), for_recovery(state)];
    if let AfterSaving::Do(next) = next {
        effects.extend(go_on(state, next));
    }
    effects
}

pub(super) fn save_harp(state: &mut State) -> Vec<Effect> {
    if state.work.asking {
        return Vec::new();
    }
    state.work.asking = true;
    vec![Effect::AskWhereToSaveHarp(state.words())]
}

pub(super) fn save_harp_to(state: &mut State, path: Option<PathBuf>) -> Vec<Effect> {
    state.work.asking = false;
    path.map_or_else(Vec::new, |path| vec![Effect::SaveHarp { path, harp: Box::new(state.wishes.harp.clone()) }])
}

/// Does what needs the open piece out of the way, or asks about its changes first.
pub(super) fn make_way(state: &mut State, next: Next) -> Vec<Effect> {
    if state.has_unsaved_changes() {
        state.question = Some(Question::SaveFirst(next));
        return Vec::new();
    }
    go_on(state, next)
}

fn go_on(state: &mut State, next: Next) -> Vec<Effect> {
    match next {
        Next::AskForFile => opening::ask(state),
        Next::Open(origin) => opening::open(state, origin),
        Next::OpenBytes { name, bytes } => opening::open_bytes(state, name, bytes),
        Next::MakeDraft => opening::make_draft(state),
        Next::Close => {
            judging::keep_waiting(state).into_iter().chain([Effect::ForgetRecovery, Effect::Close]).collect()
        }
    }
}

pub(super) fn answer(state: &mut State, answer: Answer) -> Vec<Effect> {
    let Some(question) = state.question.take() else { return Vec::new() };
    match (question, answer) {
        (Question::SaveFirst(next), Answer::Save) => {
            state.work.after_saving = AfterSaving::Do(next);
            save(state)
        }
        (Question::SaveFirst(next), Answer::Discard) => go_on(state, next),
        (Question::Recover(pieces), Answer::Recover(file)) => {
            let rest: Vec<_> = pieces.into_iter().filter(|(path, _)| *path != file).collect();
            if !rest.is_empty() {
                state.question = Some(Question::Recover(rest));
            }
            let job = opening::begin(state);
            vec![Effect::TakeUp { job, file }]
        }
        (Question::Recover(pieces), Answer::Discard) => {
            pieces.into_iter().map(|(file, _)| Effect::DiscardLeftBehind(file)).collect()
        }
        // What was left behind stays for the next time.
        (Question::SaveFirst(_) | Question::Recover(_), _) => Vec::new(),
    }
}
