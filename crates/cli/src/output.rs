//! Standard output and standard error.

use std::io::{self, BufWriter, StdoutLock, Write};

use serde::Serialize;

use crate::refusal::Refusal;

/// Standard output, buffered.
pub struct Output(BufWriter<StdoutLock<'static>>);

impl Output {
    /// The program's own standard output.
    pub fn standard() -> Output {
        Output(BufWriter::new(io::stdout().lock()))
    }

    /// A line of text; line breaks in it are kept, other control characters (a title may hold any) are not.
    ///
    /// # Errors
    /// Where nobody reads any more, or the disk is full.
    pub fn line(&mut self, text: impl std::fmt::Display) -> Result<(), Refusal> {
        let printable = text.to_string().replace(|c: char| c.is_control() && c != '\n', " ");
        Ok(writeln!(self.0, "{printable}")?)
    }

    /// An answer as JSON on one line.
    ///
    /// # Errors
    /// As [`Output::line`].
    pub fn json(&mut self, answer: &impl Serialize) -> Result<(), Refusal> {
        serde_json::to_writer(&mut self.0, answer)?;
        self.line("")
    }

    /// Sends on what is still in the buffer.
    ///
    /// # Errors
    /// As [`Output::line`].
    pub fn finish(&mut self) -> Result<(), Refusal> {
        Ok(self.0.flush()?)
    }
}

/// The one line on standard error that goes with exit status 1. Whatever the text quotes from a file, it stays one line.
pub fn complain(text: &str) {
    let one_line: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    // Where standard error is closed the exit status still says it.
    drop(writeln!(io::stderr().lock(), "{one_line}"));
}
