//! Everything the window says, in the player's language and with her names of notes.
//!
//! The texts stand in `texts/en.ftl` and `texts/de.ftl` (Fluent); a test sees to it that both have the same keys and
//! that every key the code asks for is there. What a file's reader or the system reports comes from outside and stays
//! as it is.

mod notes;
mod texts;

pub use notes::{NoteNames, Octaves};
pub use texts::Language;

use fluent_bundle::FluentValue;

/// How the window speaks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Words {
    /// The language of its texts.
    pub language: Language,
    /// What it calls the notes.
    pub notes: NoteNames,
    /// How it counts octaves.
    pub octaves: Octaves,
}

impl Words {
    /// A text without gaps.
    pub fn text(self, key: &str) -> String {
        texts::of(self.language, key, &[])
    }

    /// A text with its gaps filled in.
    pub fn with<const N: usize>(self, key: &str, gaps: [(&str, FluentValue<'_>); N]) -> String {
        texts::of(self.language, key, &gaps)
    }
}

#[cfg(test)]
mod tests;
