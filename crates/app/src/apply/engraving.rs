//! What becomes of intents about the engraved score.

use std::sync::Arc;

use leverlane_core::plan::flip_marks;
use leverlane_core::score::Hands;
use leverlane_engraving::{Music, PageSize};

use crate::effects::Effect;
use crate::intent::ScoreIntent;
use crate::state::State;

pub(super) fn apply(state: &mut State, intent: ScoreIntent) -> Vec<Effect> {
    match intent {
        ScoreIntent::Draw { spaces } => draw(state, spaces).into_iter().collect(),
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

fn draw(state: &mut State, spaces: u32) -> Option<Effect> {
    let (piece, planned) = (state.piece.as_ref()?, state.plan.as_ref()?);
    let id = state.score.ask(piece, planned, spaces);
    let hands = Hands::assign(&piece.score, &state.wishes.hands);
    if piece.score.notes().all(|(note, _)| hands.of(note).is_none()) {
        // A passage from paper has nothing to engrave: its strip says all there is.
        return None;
    }
    let music = Music {
        score: piece.score.clone(),
        hands,
        bars: 0..piece.score.bars().len(),
        marks: flip_marks(&planned.plan, &piece.performance, &planned.harp),
        start: None,
    };
    Some(Effect::Engrave { id, music: Arc::new(music), size: PageSize { width: spaces as f32 } })
}
