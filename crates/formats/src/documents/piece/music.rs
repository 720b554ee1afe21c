//! From a piece document to its music.

use std::path::Path;

use leverlane_core::plan::WantedFlip;
use leverlane_core::score::{PlayingOrder, Score};

use super::Piece;
use crate::abc::{PassageError, passage};
use crate::documents::{DocumentError, Source};
use crate::paper::{PaperError, PaperSettings, bare_passage};
use crate::{ImportError, Imported, Limits, Said, Warning, import_tune};

/// The music of a piece, as it is to be planned.
#[derive(Clone, Debug, PartialEq)]
pub struct Music {
    /// The written music; without notes for a bare passage.
    pub score: Score,
    /// The order in which its bars are played.
    pub order: PlayingOrder,
    /// What was read differently from how it stands.
    pub warnings: Vec<Warning>,
    /// The flips of a bare passage, for [`leverlane_core::plan::bare_plan`]; none for a piece with notes, for
    /// [`leverlane_core::plan::plan`].
    pub flips: Option<Vec<WantedFlip>>,
}

impl From<Imported> for Music {
    /// Music with notes.
    fn from(imported: Imported) -> Music {
        let Imported { score, order, warnings } = imported;
        Music { score, order, warnings, flips: None }
    }
}

/// A piece whose music can't be read. Its text is one line; what was typed has its place as well.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum OpenError {
    /// The source can't be had.
    #[error(transparent)]
    Source(#[from] DocumentError),
    /// It is no score.
    #[error(transparent)]
    Score(#[from] ImportError),
    /// A line of a bare passage.
    #[error(transparent)]
    Passage(#[from] PaperError),
    /// The typed bars.
    #[error(transparent)]
    Typed(#[from] PassageError),
}

impl OpenError {
    /// The same, to be said in any language.
    pub fn said(&self) -> Said {
        match self {
            OpenError::Source(error) => error.said(),
            OpenError::Score(error) => error.said(),
            OpenError::Passage(error) => error.detail.said(),
            OpenError::Typed(error) => error.error.said(),
        }
    }
}

impl Piece {
    /// The piece's music. `folder` is where its document lies: a source in a file is looked for from there.
    ///
    /// # Errors
    /// A source that can't be found or has changed, or that can't be read.
    pub fn open(&self, folder: &Path, limits: &Limits) -> Result<Music, OpenError> {
        match &self.source {
            Source::Inside { tune, .. } | Source::File { tune, .. } => {
                let bytes = self.source.bytes(folder, limits.bytes)?.unwrap_or_default();
                Ok(import_tune(&bytes, *tune, limits)?.into())
            }
            Source::Passage { settings, flips } => {
                let settings = PaperSettings { title: self.title.clone(), ..settings.clone() };
                let passage = bare_passage(flips, &settings, limits)?;
                Ok(Music { flips: Some(passage.flips), ..passage.imported.into() })
            }
            Source::Typed { settings, right, left } => {
                let settings = crate::abc::PassageSettings { title: self.title.clone(), ..settings.clone() };
                Ok(passage(right, left, &settings, limits)?.into())
            }
        }
    }
}
