//! What can go wrong with the diary's file.

use std::path::{Path, PathBuf};

use rusqlite::ErrorCode;

/// The diary can't be read or written.
#[derive(Debug, thiserror::Error)]
#[error("the diary {}: {trouble}", path.display())]
pub struct DiaryError {
    /// Its file.
    pub path: PathBuf,
    /// What is wrong, and what to do.
    pub trouble: Trouble,
}

/// What is wrong with a diary.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Trouble {
    /// No room left.
    #[error("the disk is full; make room, practice goes on and is written down then")]
    DiskFull,
    /// It may not be written.
    #[error("it may not be written here; practice goes on without it, allow writing or choose another folder")]
    ReadOnly,
    /// It can't be opened at all.
    #[error("it can't be opened ({0}); practice goes on without it")]
    Unopened(String),
    /// The file is no diary, or is damaged.
    #[error("its file is damaged ({0})")]
    Damaged(String),
    /// A later program has written it.
    #[error("it is of version {found}, this program knows up to {known}; use the newer program")]
    TooNew {
        /// The file's version.
        found: u32,
        /// What this program knows.
        known: u32,
    },
    /// Another program holds it.
    #[error("another program is using it; close that one")]
    Busy,
    /// Anything else.
    #[error("{0}")]
    Other(String),
}

impl DiaryError {
    pub(crate) fn new(path: &Path, trouble: Trouble) -> DiaryError {
        DiaryError { path: path.to_owned(), trouble }
    }

    pub(crate) fn of(path: &Path, error: &rusqlite::Error) -> DiaryError {
        DiaryError::new(path, Trouble::of(error))
    }
}

impl Trouble {
    fn of(error: &rusqlite::Error) -> Trouble {
        let text = error.to_string();
        match error.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => Trouble::DiskFull,
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => Trouble::ReadOnly,
            Some(ErrorCode::CannotOpen) => Trouble::Unopened(text),
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => Trouble::Damaged(text),
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Trouble::Busy,
            _ => Trouble::Other(text),
        }
    }
}
