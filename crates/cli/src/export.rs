//! A file that is made from a planned piece: a marked score, a MIDI file, a printed part.

use std::path::PathBuf;

use clap::Args;
use leverlane_core::score::Score;
use leverlane_formats::files;
use serde::Serialize;

use crate::notes::{WarningAnswer, write_warnings};
use crate::output::Output;
use crate::planned::PlanChoice;
use crate::refusal::Refusal;

/// What to plan, and where to write what is made of it.
#[derive(Debug, Args)]
pub struct ExportChoice {
    #[command(flatten)]
    pub piece: PlanChoice,
    /// The file to write; one of that name is replaced and kept beside it.
    #[arg(short, long = "output", value_name = "OUT")]
    pub output: PathBuf,
    /// Answer as JSON.
    #[arg(long)]
    pub json: bool,
}

/// What was written: `counts` say what is in it.
#[derive(Debug, Serialize)]
pub struct Exported<'a, Counts> {
    pub file: String,
    pub bytes: usize,
    #[serde(flatten)]
    pub counts: Counts,
    /// Of reading and of writing.
    pub warnings: Vec<WarningAnswer<'a>>,
}

impl ExportChoice {
    /// The file to write as it is shown.
    ///
    /// # Errors
    /// A file that is the score itself.
    pub fn file(&self) -> Result<String, Refusal> {
        self.piece.score.keep_from(&self.output)?;
        Ok(files::shown(&self.output))
    }

    /// Tells of the file, as JSON or for people, to whom `counts` says the counts.
    ///
    /// # Errors
    /// As [`Output::line`].
    pub fn tell<Counts: Serialize>(
        &self,
        exported: &Exported<'_, Counts>,
        counts: &str,
        score: &Score,
        output: &mut Output,
    ) -> Result<(), Refusal> {
        if self.json {
            return output.json(exported);
        }
        output.line(format!("{}: {} bytes, {counts}", exported.file, exported.bytes))?;
        write_warnings(&exported.warnings, |bar| Some(score.bars().get(bar)?.number.as_str()), output)
    }
}
