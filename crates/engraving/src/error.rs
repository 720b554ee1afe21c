//! Why there is no drawing.

/// A drawing that could not be made. The music itself is fine: show it another way.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EngravingError {
    /// The engine's fonts could not be put on the disk, where it reads them.
    #[error("the music fonts can't be written to {folder}: {reason}; check the disk and the folder")]
    Fonts {
        /// The folder.
        folder: String,
        /// What the system says.
        reason: String,
    },
    /// The engine refused the music.
    #[error("the engraver refused the music ({0}); it is shown without notation")]
    Refused(&'static str),
    /// The engine's drawing was not as expected.
    #[error("the engraver's drawing can't be used: {0}; the music is shown without notation")]
    Drawing(String),
    /// Something went wrong inside that should not.
    #[error("the engraver stopped on an inner error: {0}; the music is shown without notation")]
    Panicked(String),
    /// The PDF could not be put together.
    #[error("the pages can't be put together: {0}")]
    Pages(String),
}
