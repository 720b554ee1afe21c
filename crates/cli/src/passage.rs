//! `passage FILE --bars N -o OUT.ron`: a piece document from paper.
//!
//! FILE holds the flips, a line each: `bar 12 beat 4: C5 up` (see `leverlane_formats::paper`).
//!
//! The JSON: `{"file","title","bars","flips"}`.

use std::path::PathBuf;

use clap::Args;
use leverlane_core::meter::Meter;
use leverlane_core::pitch::Key;
use leverlane_core::time::Tempo;
use leverlane_formats::documents::{Piece, Source};
use leverlane_formats::paper::{PaperSettings, bare_passage};
use leverlane_formats::{Limits, files};
use serde::Serialize;

use crate::harp_choice::HarpChoice;
use crate::output::Output;
use crate::piece::save;
use crate::planned::tempo;
use crate::refusal::Refusal;

/// The arguments of `passage`.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The flips, a line each, such as "bar 12 beat 4: C5 up".
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// The document to write.
    #[arg(short, long = "output", value_name = "OUT.ron")]
    output: PathBuf,
    /// How many bars the passage has.
    #[arg(long, value_name = "N")]
    bars: usize,
    /// The meter, such as 6/8.
    #[arg(long, value_name = "METER", default_value = "4/4", value_parser = meter)]
    meter: Meter,
    /// Sharps of the key signature; flats are negative.
    #[arg(long, value_name = "SHARPS", default_value = "0", allow_negative_numbers = true, value_parser = key)]
    key: Key,
    /// The tempo in quarter notes a minute, 5 to 400.
    #[arg(long, value_name = "BPM", value_parser = tempo)]
    tempo: Option<Tempo>,
    /// What the passage is called.
    #[arg(long, value_name = "TITLE", default_value = "")]
    title: String,
    #[command(flatten)]
    harp: HarpChoice,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct Answer<'a> {
    file: String,
    title: &'a str,
    bars: usize,
    flips: usize,
}

fn meter(text: &str) -> Result<Meter, String> {
    let expected = || "expected a meter such as 4/4, 6/8 or 3+2/8".to_owned();
    let (above, below) = text.split_once('/').ok_or_else(expected)?;
    let groups: Result<Vec<u8>, _> = above.split('+').map(str::parse).collect();
    let unit = below.parse().map_err(|_| expected())?;
    Meter::new(&groups.map_err(|_| expected())?, unit).map_err(|error| error.to_string())
}

fn key(text: &str) -> Result<Key, String> {
    text.parse()
        .ok()
        .and_then(Key::from_fifths)
        .ok_or_else(|| "expected -7 (seven flats) to 7 (seven sharps)".to_owned())
}

/// Reads the flips and writes the document.
///
/// # Errors
/// Lines that can't be understood, and a document that can't be written.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let (limits, file) = (Limits::USUAL, files::shown(&arguments.file));
    let bytes = files::read(&arguments.file, limits.bytes)?;
    let flips = String::from_utf8(bytes).map_err(|_| {
        Refusal::of_file(&file, "found bytes that are no UTF-8, expected lines of text; save it as UTF-8")
    })?;
    let settings = PaperSettings {
        title: arguments.title.clone(),
        meter: arguments.meter.clone(),
        tempo: arguments.tempo.unwrap_or(Tempo::UNWRITTEN),
        key: arguments.key,
        bars: arguments.bars,
    };
    let passage = bare_passage(&flips, &settings, &limits).map_err(|error| Refusal::of_file(&file, error))?;
    let harp = arguments.harp.document(None)?;
    if matches!((arguments.file.canonicalize(), arguments.output.canonicalize()), (Ok(from), Ok(to)) if from == to) {
        let reason = "these are the flips themselves, expected another file to write to; give --output another name";
        return Err(Refusal::of_file(&file, reason));
    }
    let piece = Piece::new(arguments.title.clone(), Source::Passage { settings, flips }, harp);
    save(&piece, &arguments.output)?;
    let answer = Answer {
        file: files::shown(&arguments.output),
        title: &piece.title,
        bars: arguments.bars,
        flips: passage.flips.len(),
    };
    if arguments.json {
        return output.json(&answer);
    }
    output.line(format!("{}: {} bars, {} flips", answer.file, answer.bars, answer.flips))
}
