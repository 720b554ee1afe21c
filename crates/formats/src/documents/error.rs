//! Why a document was refused.

use crate::{Detail, Said, said};

/// A file that is none of our documents, or not one that can be used. Its text is one line.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum DocumentError {
    /// The text is no RON, or not of the structure of such a document; the place is a line and column.
    #[error("{0}")]
    Malformed(Detail),
    /// A document of another kind, such as a piece where a harp is wanted.
    #[error("{0}")]
    OtherKind(Detail),
    /// Written by a newer program.
    #[error("{0}")]
    Newer(Detail),
    /// A value that can't be; the place is its field.
    #[error("{0}")]
    Invalid(Detail),
    /// The score that a piece belongs to is another one now.
    #[error("{0}")]
    SourceChanged(Detail),
    /// The document, or the score that it belongs to, can't be read or written.
    #[error(transparent)]
    File(#[from] crate::files::FileError),
}

impl DocumentError {
    /// The same, to be said in any language.
    pub fn said(&self) -> Said {
        match self {
            DocumentError::Malformed(detail)
            | DocumentError::OtherKind(detail)
            | DocumentError::Newer(detail)
            | DocumentError::Invalid(detail)
            | DocumentError::SourceChanged(detail) => detail.said(),
            DocumentError::File(error) => error.said(),
        }
    }

    /// A field whose value can't be.
    pub(super) fn invalid(place: impl Into<String>, found: Said, expected: Said) -> DocumentError {
        DocumentError::Invalid(Detail {
            place: Said::quoted(place),
            found,
            expected,
            remedy: said!("correct it in a text editor, or save the document again"),
        })
    }
}

/// A value as it was found.
pub(super) fn value(found: impl std::fmt::Display) -> Said {
    Said::quoted(shortened(&found.to_string()))
}

/// A text from a file, fit for a message: one line and not too long.
pub(super) fn shortened(text: &str) -> String {
    const MOST_CHARS: usize = 120;
    let mut line: String = text.chars().take(MOST_CHARS).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().nth(MOST_CHARS).is_some() {
        line.push('…');
    }
    line
}
