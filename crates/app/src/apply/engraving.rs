//! What becomes of intents about engraved music.
//!
//! One engraver draws the open piece and the notes that are being typed, and it answers only what it was asked last. The
//! two are never seen at once: whichever is asked for, the other asks again when it is seen again.

use std::ops::Range;
use std::sync::Arc;

use leverlane_core::plan::{FlipMark, flip_marks};
use leverlane_core::score::{HandRule, Hands};
use leverlane_engraving::{DrawingId, Music, PageSize, PictureRequest};

use crate::effects::Effect;
use crate::intent::ScoreIntent;
use crate::state::{Cut, Page, Piece, Planned, State};

pub(super) fn apply(state: &mut State, intent: ScoreIntent) -> Vec<Effect> {
    match intent {
        ScoreIntent::Draw(cut) => draw(state, cut).into_iter().collect(),
        ScoreIntent::DrawDraft { spaces } => draw_draft(state, spaces).into_iter().collect(),
        ScoreIntent::Drawn { id, drawing } => {
            state.score.engraved.take(id, &drawing);
            state.paper.engraved.take(id, &drawing);
            Vec::new()
        }
        ScoreIntent::Picture(request) => picture(state, request).into_iter().collect(),
        ScoreIntent::Pictured { request, picture } => {
            state.score.engraved.take_picture(request, &picture);
            state.paper.engraved.take_picture(request, &picture);
            Vec::new()
        }
    }
}

/// The marks of some of the plan's gestures. Where those of one loop are meant, each holds whenever it comes.
fn marks(piece: &Piece, planned: &Planned, flips: Range<usize>) -> Vec<FlipMark> {
    let mut marks = flip_marks(&planned.plan, &piece.performance, &planned.harp);
    let gestures = &planned.plan.gestures;
    if flips == (0..gestures.len()) {
        return marks;
    }
    let meant = gestures.get(flips).unwrap_or_default();
    marks.retain_mut(|mark| {
        mark.text.times.clear();
        meant.iter().any(|gesture| {
            let bar = piece.performance.bars().get(gesture.played_bar);
            bar.is_some_and(|bar| (bar.bar, gesture.at - bar.starts) == (mark.bar, mark.at))
                && gesture.flips.iter().any(|flip| (flip.string, flip.to) == (mark.string, mark.to))
        })
    });
    marks
}

fn draw(state: &mut State, cut: Cut) -> Option<Effect> {
    let (piece, planned) = (state.piece.as_ref()?, state.plan.as_ref()?);
    let Cut { bars, flips, page } = cut.clone();
    let id = DrawingId(state.work.next_job());
    state.score.ask(id, piece, planned, cut);
    state.paper.ask_again();
    let hands = Hands::assign(&piece.score, &state.wishes.hands);
    if piece.score.notes().all(|(note, _)| hands.of(note).is_none()) {
        // A passage from paper has nothing to engrave: its strip says all there is.
        state.score.engraved.clear();
        return None;
    }
    let (cues, marks) = (piece.cue_line(&state.wishes), marks(piece, planned, flips));
    let music = Music { score: piece.score.clone(), hands, cues, bars, marks, start: None };
    let size = match page {
        Page::Systems(spaces) => PageSize::Systems(spaces as f32),
        Page::OneSystem => PageSize::OneSystem,
    };
    Some(Effect::Engrave { id, music: Arc::new(music), size })
}

fn draw_draft(state: &mut State, spaces: u32) -> Option<Effect> {
    let id = DrawingId(state.work.next_job());
    let score = state.paper.ask(id, spaces)?;
    state.score.ask_again();
    let music = Music {
        hands: Hands::assign(&score, &HandRule::Usual),
        cues: Vec::new(),
        bars: 0..score.bars().len(),
        marks: Vec::new(),
        start: None,
        score: Arc::unwrap_or_clone(score),
    };
    Some(Effect::Engrave { id, music: Arc::new(music), size: PageSize::Systems(spaces as f32) })
}

fn picture(state: &mut State, request: PictureRequest) -> Option<Effect> {
    let is_new = state.score.engraved.order(request) || state.paper.engraved.order(request);
    is_new.then_some(Effect::Picture(request))
}
