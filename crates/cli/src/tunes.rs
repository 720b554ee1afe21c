//! `tunes FILE`: the tunes of a file of ABC.
//!
//! The JSON: `{"tunes":[{"number","title"}]}`, in the order of the file; `number` is what stands after `X:`, a text.

use std::path::PathBuf;

use clap::Args;
use leverlane_formats::abc::Tunebook;
use leverlane_formats::{Limits, SourceKind, files};
use serde::Serialize;

use crate::output::Output;
use crate::refusal::Refusal;

/// The arguments of `tunes`.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The file of ABC.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct Answer<'a> {
    tunes: Vec<TuneAnswer<'a>>,
}

#[derive(Debug, Serialize)]
struct TuneAnswer<'a> {
    number: &'a str,
    title: &'a str,
}

/// Lists the tunes.
///
/// # Errors
/// A file that can't be read or is no ABC.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let (limits, file) = (Limits::USUAL, files::shown(&arguments.file));
    let bytes = files::read(&arguments.file, limits.bytes)?;
    if SourceKind::of(&bytes) != Some(SourceKind::Abc) {
        return Err(Refusal::of_file(
            &file,
            "found no ABC, expected a file of tunes (.abc); other files hold one piece",
        ));
    }
    let book = Tunebook::open(&bytes, &limits).map_err(|error| Refusal::of_file(&file, error))?;
    let tunes: Vec<TuneAnswer<'_>> =
        book.tunes().map(|tune| TuneAnswer { number: &tune.reference, title: &tune.title }).collect();
    if arguments.json {
        return output.json(&Answer { tunes });
    }
    for tune in tunes {
        output.line(format!("{:>6}  {}", tune.number, tune.title))?;
    }
    Ok(())
}
