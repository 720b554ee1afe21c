//! `levers WAV --harp …`: the lever check of a recording.
//!
//! The player walks along her strings: each open, once or more, then raised. With `-o OUT.ron` the harp is written with what was
//! found, how its strings sound included, for `--harp`. The JSON, only strings that were plucked:
//!
//! ```text
//! {"strings":[{"string","open_hz","raised_hz","cents","band","open_buzz","buzz"}]}
//! ```
//!
//! What was not heard is null. `band` is "good", "tolerable", "doubtful" or "regulate"; `buzz` is true where the raised
//! string may buzz, `open_buzz` where the open one may, as far as the harp's last check tells; false is no proof.

use std::path::{Path, PathBuf};

use clap::Args;
use leverlane_core::harp::Harp;
use leverlane_formats::documents::HarpDocument;
use leverlane_formats::files;
use leverlane_hearing::{BuzzHint, MeasuredPluck, RaiseBand, StringFinding, check_levers};
use serde::Serialize;

use crate::concert_pitch::ConcertPitch;
use crate::harp_choice::HarpChoice;
use crate::output::Output;
use crate::recording::Recording;
use crate::refusal::Refusal;
use crate::single_plucks::single_plucks;

/// The arguments of `levers`.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    recording: Recording,
    #[command(flatten)]
    harp: HarpChoice,
    #[command(flatten)]
    pitch: ConcertPitch,
    /// Write the harp to this file with what was found.
    #[arg(short, long = "output", value_name = "OUT.ron")]
    output: Option<PathBuf>,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct Answer {
    strings: Vec<StringAnswer>,
}

#[derive(Debug, Serialize)]
struct StringAnswer {
    string: u8,
    open_hz: Option<f64>,
    raised_hz: Option<f64>,
    cents: Option<f64>,
    band: Option<&'static str>,
    open_buzz: Option<bool>,
    buzz: Option<bool>,
}

/// Listens, measures and tells.
///
/// # Errors
/// As [`Recording::listen`]; a recording in which no string of the harp is heard; a file that can't be written.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let harp = arguments.harp.document(None)?.harp();
    if let Some(path) = &arguments.output {
        check_name(path)?;
    }
    let plucks = single_plucks(&arguments.recording, &harp, arguments.pitch.a4)?;
    let plucks: Vec<MeasuredPluck> = plucks.into_iter().map(|(_, pluck)| pluck).collect();
    let findings = check_levers(&harp, arguments.pitch.a4, &plucks);
    if findings.is_empty() {
        let reason = format!(
            "no string of the harp was heard in it, expected each open and then raised ({}); check --harp, --tuning, \
             --a4 and the recording",
            harp.name()
        );
        return Err(Refusal::of_file(&arguments.recording.file(), reason));
    }
    if let Some(path) = &arguments.output {
        save(&harp, &findings, path)?;
    }
    let answer = Answer { strings: findings.iter().map(string_answer).collect() };
    if arguments.json { output.json(&answer) } else { text(&answer, &harp, output) }
}

/// A recording or a score is not to be written over.
fn check_name(path: &Path) -> Result<(), Refusal> {
    if path.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("ron")) {
        return Ok(());
    }
    let reason = "this is no name for a harp, expected a file that ends in .ron; give --output such a name";
    Err(Refusal::of_file(&files::shown(path), reason))
}

fn save(harp: &Harp, findings: &[StringFinding], path: &Path) -> Result<(), Refusal> {
    let mut strings = harp.strings().to_vec();
    for finding in findings {
        if let Some(string) = strings.get_mut(finding.string.index()) {
            *string = finding.kept_in(string);
        }
    }
    let refused = |error: &dyn std::fmt::Display| Refusal::of_file(&files::shown(path), error);
    let harp = Harp::new(harp.name(), strings).map_err(|error| refused(&error))?;
    let bytes = HarpDocument::Listed(harp).write().map_err(|error| refused(&error))?;
    Ok(files::save(path, &bytes)?)
}

fn string_answer(finding: &StringFinding) -> StringAnswer {
    let hundredths = |value: f64| (value * 100.0).round() / 100.0;
    let raise = finding.raise();
    StringAnswer {
        string: finding.string.get(),
        open_hz: finding.open.map(|hertz| hundredths(hertz.get())),
        raised_hz: finding.raised.map(|hertz| hundredths(hertz.get())),
        cents: raise.map(|cents| hundredths(cents.get())),
        band: raise.map(|cents| match RaiseBand::of(cents) {
            RaiseBand::Good => "good",
            RaiseBand::Tolerable => "tolerable",
            RaiseBand::Doubtful => "doubtful",
            RaiseBand::NeedsRegulation => "regulate",
        }),
        open_buzz: finding.open_buzz.map(|buzz| buzz == BuzzHint::MayBuzz),
        buzz: finding.buzz.map(|buzz| buzz == BuzzHint::MayBuzz),
    }
}

fn text(answer: &Answer, harp: &Harp, output: &mut Output) -> Result<(), Refusal> {
    output.line("string  open    raised by  ")?;
    let open = |number: u8| harp.strings().get(usize::from(number) - 1).map_or(String::new(), |s| s.open.to_string());
    for string in &answer.strings {
        let raise = string.cents.map_or("only one state was heard".to_owned(), |cents| format!("{cents:6.1} cents"));
        let buzz = match (string.open_buzz == Some(true), string.buzz == Some(true)) {
            (true, true) => ", may buzz open and raised",
            (true, false) => ", may buzz open",
            (false, true) => ", may buzz raised",
            (false, false) => "",
        };
        let band = string.band.unwrap_or("");
        output.line(format!("{:>6}  {:<6}  {raise}  {band}{buzz}", string.string, open(string.string)))?;
    }
    Ok(())
}
