//! What becomes of intents about the engraved score.

use std::ops::Range;
use std::sync::Arc;

use leverlane_core::plan::{FlipMark, flip_marks};
use leverlane_core::score::Hands;
use leverlane_engraving::{Music, PageSize};

use crate::effects::Effect;
use crate::intent::ScoreIntent;
use crate::state::{Cut, Page, Piece, Planned, State};

pub(super) fn apply(state: &mut State, intent: ScoreIntent) -> Vec<Effect> {
    match intent {
        ScoreIntent::Draw(cut) => draw(state, cut).into_iter().collect(),
        ScoreIntent::Drawn { id, drawing } => {
            state.score.take(id, drawing);
            Vec::new()
        }
        ScoreIntent::Picture { system, pixels_per_space } => {
            state.score.ask_for_picture(system, pixels_per_space).map(Effect::Picture).into_iter().collect()
        }
        ScoreIntent::Pictured { request, picture } => {
            state.score.take_picture(request, picture);
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
    let id = state.score.ask(piece, planned, cut);
    let hands = Hands::assign(&piece.score, &state.wishes.hands);
    if piece.score.notes().all(|(note, _)| hands.of(note).is_none()) {
        // A passage from paper has nothing to engrave: its strip says all there is.
        state.score.leave_empty();
        return None;
    }
    let music = Music { score: piece.score.clone(), hands, bars, marks: marks(piece, planned, flips), start: None };
    let size = match page {
        Page::Systems(spaces) => PageSize::Systems(spaces as f32),
        Page::OneSystem => PageSize::OneSystem,
    };
    Some(Effect::Engrave { id, music: Arc::new(music), size })
}
