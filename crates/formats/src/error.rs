//! Why a file was refused.

use std::fmt;

use crate::{Said, said};

/// What is wrong, where, and what to do about it, each a short phrase.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Detail {
    /// Where in the file: a line and column, a bar, an entry of an archive; empty for the file as a whole.
    pub place: Said,
    /// What was found.
    pub found: Said,
    /// What was expected.
    pub expected: Said,
    /// What the user can do.
    pub remedy: Said,
}

impl Detail {
    /// What is wrong and what to do, for where the place is told beside it.
    pub fn what(&self) -> Said {
        let Detail { found, expected, remedy, .. } = self.clone();
        said!("found {found}, expected {expected}; {remedy}", found, expected, remedy)
    }

    /// All of it in one line.
    pub fn said(&self) -> Said {
        if self.place.is_empty() {
            return self.what();
        }
        said!("{place}: {what}", place = self.place.clone(), what = self.what())
    }
}

impl fmt::Display for Detail {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.said())
    }
}

/// A file that can't be read as a score. Its text is one line.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ImportError {
    /// The bytes don't follow their format.
    #[error("{0}")]
    Malformed(Detail),
    /// They do, but say something that can't be read here.
    #[error("{0}")]
    Unsupported(Detail),
    /// They ask for more than the [`crate::Limits`] allow.
    #[error("{0}")]
    LimitReached(Detail),
    /// They hold no note that a harp could play.
    #[error("{0}")]
    NothingToPlay(Detail),
}

impl ImportError {
    /// What is wrong, part by part.
    pub fn detail(&self) -> &Detail {
        match self {
            ImportError::Malformed(detail)
            | ImportError::Unsupported(detail)
            | ImportError::LimitReached(detail)
            | ImportError::NothingToPlay(detail) => detail,
        }
    }

    /// The same, to be said in any language.
    pub fn said(&self) -> Said {
        self.detail().said()
    }
}
