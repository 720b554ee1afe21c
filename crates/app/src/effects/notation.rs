//! The engraver's thread, started when the first score is to be drawn.

use leverlane_formats::{Said, said};
use std::path::PathBuf;
use std::sync::Arc;

use leverlane_engraving::{Answer, DrawingId, Engraver, Music, PageSize, PictureRequest};

use super::Messenger;
use crate::intent::{Intent, ScoreIntent};
use crate::names;

/// Where scores are handed in, and drawings come out.
pub(super) struct Notation {
    fonts: Option<PathBuf>,
    messenger: Messenger,
    engraver: Option<Engraver>,
}

impl Notation {
    /// Nothing is started yet. The engraver keeps its fonts in a folder, or where there is none for one run only.
    pub(super) fn new(fonts: Option<PathBuf>, messenger: Messenger) -> Notation {
        Notation { fonts, messenger, engraver: None }
    }

    pub(super) fn draw(&mut self, id: DrawingId, music: Arc<Music>, size: PageSize) {
        if self.engraver.is_none() {
            let wake = self.messenger.wake.clone();
            match Engraver::start(self.fonts.clone(), move || wake()) {
                Ok(engraver) => self.engraver = Some(engraver),
                Err(error) => self.messenger.send(ScoreIntent::Drawn { id, drawing: Err(not_started(&error)) }.into()),
            }
        }
        if let Some(engraver) = &mut self.engraver {
            engraver.draw(id, music, size);
        }
    }

    pub(super) fn picture(&mut self, request: PictureRequest) {
        if let Some(engraver) = &mut self.engraver {
            engraver.picture(request);
        }
    }

    /// What has been drawn since the last call. A drawing of which no picture can be made is none.
    pub(super) fn results(&mut self) -> impl Iterator<Item = Intent> + use<> {
        let answers = self.engraver.as_mut().map(Engraver::answers).unwrap_or_default();
        answers.into_iter().map(|answer| match answer {
            Answer::Drawn { id, drawing } => {
                ScoreIntent::Drawn { id, drawing: drawing.map_err(|error| names::engraving_error(&error)) }.into()
            }
            Answer::Pictured { request, picture: Ok(picture) } => ScoreIntent::Pictured { request, picture }.into(),
            Answer::Pictured { request, picture: Err(error) } => {
                ScoreIntent::Drawn { id: request.drawing, drawing: Err(names::engraving_error(&error)) }.into()
            }
        })
    }
}

fn not_started(error: &std::io::Error) -> Said {
    said!("the engraver could not be started ({error}); the music is shown without notation", error = error.to_string())
}
