//! Opening pieces and harps.

use std::sync::Arc;

use leverlane_core::score::HandRule;
use leverlane_formats::{Said, documents};

use super::{drilling, harping, judging, keeping, planning, saving, settings};
use crate::demo;
use crate::effects::{Effect, Kept, Opened};
use crate::intent::FileIntent;
use crate::names;
use crate::state::{
    Document, LessonDesk, Next, Notice, Origin, PassDesk, Piece, Place, Question, Sheet, Standings, State, Wishes,
};
use crate::words::Words;

pub(super) fn apply(state: &mut State, intent: FileIntent) -> Vec<Effect> {
    match intent {
        FileIntent::Ask => saving::make_way(state, Next::AskForFile),
        FileIntent::Chosen(path) => {
            state.work.asking = false;
            path.map_or_else(Vec::new, |path| open(state, Origin::File(path)))
        }
        FileIntent::Open(origin) => saving::make_way(state, Next::Open(origin)),
        FileIntent::OpenBytes { name, bytes } => saving::make_way(state, Next::OpenBytes { name, bytes }),
        FileIntent::OpenTune(tune) => open_tune(state, tune),
        FileIntent::ChangeDraft(draft) => {
            let words = state.words();
            state.paper.use_draft(*draft, words);
            Vec::new()
        }
        FileIntent::MakeDraft => saving::make_way(state, Next::MakeDraft),
        FileIntent::GiveUp => {
            state.work.opening = None;
            Vec::new()
        }
        FileIntent::Opened { job, result } => opened(state, job, result),
        FileIntent::Save => saving::save(state),
        FileIntent::SaveAs => saving::save_as(state),
        FileIntent::SaveTo(path) => saving::save_to(state, path),
        FileIntent::Saved { path, wishes, result } => saving::saved(state, path, *wishes, result),
        FileIntent::SaveHarp => saving::save_harp(state),
        FileIntent::SaveHarpTo(path) => saving::save_harp_to(state, path),
        FileIntent::Close => saving::make_way(state, Next::Close),
        FileIntent::Answer(answer) => saving::answer(state, answer),
        FileIntent::LeftBehind(pieces) => {
            state.question = Some(Question::Recover(pieces));
            Vec::new()
        }
    }
}

pub(super) fn ask(state: &mut State) -> Vec<Effect> {
    if state.work.asking {
        return Vec::new();
    }
    state.work.asking = true;
    vec![Effect::AskForFile(state.words())]
}

pub(super) fn open(state: &mut State, origin: Origin) -> Vec<Effect> {
    let job = begin(state);
    vec![Effect::Read { job, origin }]
}

pub(super) fn open_bytes(state: &mut State, name: String, bytes: Arc<[u8]>) -> Vec<Effect> {
    let job = begin(state);
    vec![Effect::Import { job, origin: Origin::Dropped(name), bytes }]
}

fn open_tune(state: &mut State, tune: usize) -> Vec<Effect> {
    let Some(Sheet::Tunes(tunes)) = state.sheet.take() else { return Vec::new() };
    if tune >= tunes.tunes.len() {
        return Vec::new();
    }
    let job = begin(state);
    vec![Effect::ImportTune { job, tunes, tune }]
}

/// What is written down goes the way of any piece that is in no file yet. Its text stays, to be gone on with.
pub(super) fn make_draft(state: &mut State) -> Vec<Effect> {
    let document =
        Box::new(documents::Piece { harp: state.wishes.harp.clone(), ..state.paper.draft.document(state.words()) });
    let job = begin(state);
    vec![Effect::OpenDraft { job, document }]
}

pub(super) fn begin(state: &mut State) -> u64 {
    let job = state.work.next_job();
    state.work.opening = Some(job);
    state.notice = None;
    job
}

/// A refused file leaves the piece that was open as it is.
fn opened(state: &mut State, job: u64, result: Result<Arc<Opened>, Said>) -> Vec<Effect> {
    if state.work.opening != Some(job) {
        return Vec::new();
    }
    state.work.opening = None;
    match result {
        Err(reason) => {
            state.notice = Some(Notice::error(state.words().said(&reason)));
            Vec::new()
        }
        Ok(opened) => match Arc::unwrap_or_clone(opened) {
            Opened::Harp(harp) => {
                state.place = Place::Harp;
                harping::play_on(state, harp)
            }
            Opened::Tunes(tunes) => {
                state.sheet = Some(Sheet::Tunes(tunes));
                Vec::new()
            }
            Opened::Results(results) => keeping::take_in(state, results),
            Opened::Piece { piece, kept } => take_up(state, *piece, *kept),
        },
    }
}

/// What the player had decided about the piece comes with its document; a mere score is played on her present harp.
fn take_up(state: &mut State, piece: Piece, kept: Kept) -> Vec<Effect> {
    let mut effects = drilling::stop(state);
    effects.extend(judging::keep_waiting(state));
    state.notice = remark_on(&piece, state.words());
    let written = piece.performance.tempo().opening();
    let wishes = match kept.wishes {
        Some(wishes) => Wishes { goal: wishes.goal.or(Some(written)), ..wishes },
        None => Wishes {
            harp: if piece.origin == Origin::Demo { demo::harp() } else { state.wishes.harp.clone() },
            pace: state.wishes.pace,
            goal: Some(written),
            hands: HandRule::default(),
            cue_line: None,
            edits: Vec::new(),
            rewrites: Vec::new(),
        },
    };
    state.drill.practice = None;
    state.drill.pass = PassDesk::default();
    state.drill.standings = Standings::default();
    state.lesson = piece.lesson.as_ref().map(|lesson| LessonDesk { lesson: Arc::clone(lesson), chunk: 0 });
    if let Some(LessonDesk { lesson, .. }) = &state.lesson
        && !lesson.note.trim().is_empty()
    {
        state.notice = Some(Notice::remark(lesson.note.clone()));
    }
    state.drill.size = kept.drill.chunk;
    state.drill.tempo = kept.drill.tempo.or(wishes.goal);
    state.drill.selected = None;
    state.drill.looped = None;
    state.drill.waiting = None;
    if let Some(path) = kept.path.clone().or(piece.origin.path()) {
        state.settings.remember_file(path);
        effects.push(settings::keep(state));
    }
    state.document = Document { path: kept.path, kept: kept.is_safe.then(|| wishes.clone()) };
    state.wishes = wishes;
    state.history.clear();
    state.place = Place::Piece;
    state.sheet = None;
    state.plan = None;
    state.whole = None;
    state.costs = None;
    state.piece = Some(Arc::new(piece.arranged(&state.wishes)));
    state.revision += 1;
    effects.push(saving::for_recovery(state));
    effects.extend(kept.left_behind.map(Effect::DiscardLeftBehind));
    effects.extend(keeping::ask_for_standings(state));
    effects.extend(planning::order_plan(state));
    effects
}

fn remark_on(piece: &Piece, words: Words) -> Option<Notice> {
    let first = piece.warnings.first()?;
    let first = format!("{}: {}", names::written_bar(words, piece, first.bar), words.said(&first.reason));
    let (name, more) = (piece.origin.name(words), piece.warnings.len() - 1);
    let gaps = [("name", name.into()), ("first", first.into()), ("more", more.into())];
    Some(Notice::remark(words.with("file-remarks", gaps)))
}
