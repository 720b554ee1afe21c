//! `piece FILE -o OUT.ron`: a score as a piece document.
//!
//! The document names the score by its path and fingerprint, or holds it inside; it is written in one step, and the one
//! it replaces is kept beside it. What a piece document given as FILE says, it goes on to say unless an argument says
//! otherwise.
//!
//! The JSON: `{"file","title"}`.

use std::path::{Path, PathBuf};

use clap::Args;
use leverlane_core::plan::EndOfPiece;
use leverlane_formats::documents::{Piece, Sha256, Source};
use leverlane_formats::{Limits, files};
use serde::Serialize;

use crate::output::Output;
use crate::planned::PlanChoice;
use crate::refusal::Refusal;

/// The arguments of `piece`.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    choice: PlanChoice,
    /// The document to write.
    #[arg(short, long = "output", value_name = "OUT.ron")]
    output: PathBuf,
    /// Keep the score inside the document, so that it can be given away by itself.
    #[arg(long)]
    inside: bool,
    /// The piece begins again after its end.
    #[arg(long = "loop")]
    again: bool,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct Answer<'a> {
    file: String,
    title: &'a str,
}

/// Writes the document.
///
/// # Errors
/// As [`PlanChoice::read`], and a document that can't be written.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let choice = &arguments.choice;
    let folder = arguments.output.parent().filter(|parent| !parent.as_os_str().is_empty());
    let keep = if arguments.inside { Keep::Inside } else { Keep::Beside(folder.unwrap_or(Path::new("."))) };
    let mut piece = document_of(choice, keep)?;
    let is_document = arguments.output.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("ron"));
    if matches!(piece.source, Source::File { .. }) && !is_document {
        choice.score.keep_from(&arguments.output)?;
    }
    piece.ending = if arguments.again { EndOfPiece::Loop } else { piece.ending };
    save(&piece, &arguments.output)?;
    let answer = Answer { file: files::shown(&arguments.output), title: &piece.title };
    if arguments.json { output.json(&answer) } else { output.line(format!("{}: {}", answer.file, answer.title)) }
}

/// Puts a document in its place.
///
/// # Errors
/// Where it can't be written.
pub fn save(piece: &Piece, path: &Path) -> Result<(), Refusal> {
    let bytes = piece.write().map_err(|error| Refusal::of_file(&files::shown(path), error))?;
    Ok(files::save(path, &bytes)?)
}

/// Where a document keeps its score.
#[derive(Clone, Copy, Debug)]
pub enum Keep<'a> {
    /// In itself.
    Inside,
    /// In the file where it is; the document will lie in this folder.
    Beside(&'a Path),
}

/// The piece as the arguments and its own document, if it has one, say; nothing is planned.
///
/// # Errors
/// As [`PlanChoice::read`].
pub fn document_of(choice: &PlanChoice, keep: Keep<'_>) -> Result<Piece, Refusal> {
    let opened = choice.score.open()?;
    let hands = choice.score.hand_rule(&opened)?;
    let cue_line = choice.score.cue_line(&opened)?;
    let harp = choice.harp.document(opened.document.as_ref().map(|document| &document.harp))?;
    let mut piece = match opened.document {
        Some(document) => document,
        None => {
            let bytes = choice.score.bytes()?;
            let source = Source::Inside { name: choice.score.name(), bytes, tune: opened.tune };
            Piece::new(opened.music.score.title(), source, harp.clone())
        }
    };
    piece.source = match (piece.source, keep) {
        (Source::Inside { bytes, tune, .. }, Keep::Beside(folder)) if opened.is_score => {
            Source::File { path: path_from(folder, choice.score.path()), sha256: Sha256::of(&bytes), tune }
        }
        (source @ Source::File { .. }, Keep::Inside) => inside(choice, source)?,
        (source, _) => source,
    };
    piece.harp = harp;
    piece.hands = hands;
    piece.cue_line = cue_line;
    piece.tempo = choice.tempo.or(piece.tempo);
    piece.pace = choice.pace.unwrap_or(piece.pace);
    Ok(piece)
}

/// A score beside a document, taken into it.
fn inside(choice: &PlanChoice, source: Source) -> Result<Source, Refusal> {
    let Source::File { path, tune, .. } = &source else { return Ok(source) };
    let folder = choice.score.path().parent().unwrap_or(Path::new(""));
    let bytes = source
        .bytes(folder, Limits::USUAL.bytes)
        .map_err(|error| Refusal::of_file(&choice.score.file(), error))?
        .unwrap_or_default()
        .into_owned();
    let name = Path::new(path).file_name().map_or_else(|| path.clone(), |name| name.to_string_lossy().into_owned());
    Ok(Source::Inside { name, bytes, tune: *tune })
}

/// A score's path from a folder where it lies in or below it, else its whole path.
fn path_from(folder: &Path, score: &Path) -> String {
    let (folder, whole) = (folder.canonicalize(), score.canonicalize());
    let path = match (&folder, &whole) {
        (Ok(folder), Ok(whole)) => whole.strip_prefix(folder).unwrap_or(whole),
        _ => score,
    };
    path.to_string_lossy().into_owned()
}
