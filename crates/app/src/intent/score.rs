//! What can be asked of engraved music: of the open piece, and of the notes that are being typed.

use leverlane_formats::Said;
use std::sync::Arc;

use leverlane_engraving::{Drawing, DrawingId, Picture, PictureRequest};

use super::Intent;
use crate::state::Cut;

/// One thing asked of engraved music.
#[derive(Clone, Debug)]
pub enum ScoreIntent {
    /// Have some of the open piece drawn.
    Draw(Cut),
    /// Have the notes drawn that are being typed.
    DrawDraft {
        /// How wide its systems are to be, in staff spaces.
        spaces: u32,
    },
    /// The engraver has drawn it, or could not.
    Drawn {
        /// Which drawing.
        id: DrawingId,
        /// The drawing, or why there is none.
        drawing: Result<Arc<Drawing>, Said>,
    },
    /// Have a picture made of a system.
    Picture(PictureRequest),
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
