//! What can be asked of the engraved score.

use std::sync::Arc;

use leverlane_engraving::{Drawing, DrawingId, Picture, PictureRequest};

use super::Intent;
use crate::state::Cut;

/// One thing asked of the engraved score.
#[derive(Clone, Debug)]
pub enum ScoreIntent {
    /// Have some of the open piece drawn.
    Draw(Cut),
    /// The engraver has drawn it, or could not.
    Drawn {
        /// Which drawing.
        id: DrawingId,
        /// The drawing, or why there is none.
        drawing: Result<Arc<Drawing>, String>,
    },
    /// Have a picture made of a system.
    Picture {
        /// Which system.
        system: usize,
        /// How large.
        pixels_per_space: f32,
    },
    /// The engraver has made it.
    Pictured {
        /// As asked.
        request: PictureRequest,
        /// The picture.
        picture: Arc<Picture>,
    },
}

impl From<ScoreIntent> for Intent {
    fn from(intent: ScoreIntent) -> Intent {
        Intent::Score(intent)
    }
}
