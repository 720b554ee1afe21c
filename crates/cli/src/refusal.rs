//! Why a command was not carried out.

use std::io;

use clap::error::ErrorKind;
use leverlane_formats::files::FileError;

/// What ends a command early.
#[derive(Debug)]
pub enum Refusal {
    /// The input can't be worked on: one line that names the file, the place, the reason and the remedy. Exit status 1.
    Refused(String),
    /// The command line itself makes no sense. Exit status 2.
    WrongUsage(clap::Error),
    /// Whoever read the output has closed the pipe: nothing is wrong. Exit status 0.
    NobodyReads,
}

impl Refusal {
    /// A refusal that concerns a file.
    pub fn of_file(file: &str, reason: impl std::fmt::Display) -> Refusal {
        Refusal::Refused(format!("{file}: {reason}"))
    }

    /// Arguments that can't stand together or mean nothing.
    pub fn wrong_usage(reason: impl std::fmt::Display) -> Refusal {
        Refusal::WrongUsage(clap::Error::raw(
            ErrorKind::ValueValidation,
            format!("{reason}\n\nFor more information, try '--help'.\n"),
        ))
    }
}

impl From<FileError> for Refusal {
    fn from(error: FileError) -> Refusal {
        Refusal::Refused(error.to_string())
    }
}

/// A failure to write to standard output.
impl From<io::Error> for Refusal {
    fn from(error: io::Error) -> Refusal {
        if error.kind() == io::ErrorKind::BrokenPipe {
            Refusal::NobodyReads
        } else {
            Refusal::Refused(format!("standard output: {error}; check where it goes to, such as a full disk"))
        }
    }
}

impl From<serde_json::Error> for Refusal {
    fn from(error: serde_json::Error) -> Refusal {
        Refusal::from(io::Error::from(error))
    }
}
