//! `levers WAV --harp …`: the lever check of a recording.
//!
//! The player walks along her strings: each open, once or more, then raised. The JSON, only strings that were plucked:
//!
//! ```text
//! {"strings":[{"string","open_hz","raised_hz","cents","band","buzz"}]}
//! ```
//!
//! What was not heard is null. `band` is "good", "tolerable", "doubtful" or "regulate"; `buzz` is true where the raised
//! string may buzz, and false where nothing of it was heard, which is no proof.

use clap::Args;
use leverlane_core::harp::{Harp, LeverState};
use leverlane_core::pitch::Hertz;
use leverlane_core::time::Seconds;
use leverlane_hearing::{BuzzHint, PluckMeter, RaiseBand, StringFinding, check_levers};
use serde::Serialize;

use crate::harp_choice::HarpChoice;
use crate::hear::pitches;
use crate::output::Output;
use crate::recording::Recording;
use crate::refusal::Refusal;

/// The arguments of `levers`.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    recording: Recording,
    #[command(flatten)]
    harp: HarpChoice,
    /// What A4 is tuned to, in hertz, 380 to 480.
    #[arg(long, value_name = "HERTZ", default_value = "440", value_parser = concert_pitch)]
    a4: Hertz,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

fn concert_pitch(text: &str) -> Result<Hertz, String> {
    let hertz = text.parse().ok().filter(|hertz| (380.0..=480.0).contains(hertz)).and_then(Hertz::new);
    hertz.ok_or_else(|| "expected 380 to 480 hertz".to_owned())
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
    buzz: Option<bool>,
}

/// A note this doubtful is not measured.
const LEAST_CERTAIN: f64 = 0.3;

/// Listens, measures and tells.
///
/// # Errors
/// As [`Recording::listen`]; a recording in which no string of the harp is heard.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let harp = arguments.harp.document(None)?.harp();
    let states = [LeverState::Down, LeverState::Up];
    let notes = harp.strings().iter().flat_map(|string| states.map(|state| string.sounds(state).midi()));
    let heard = arguments.recording.listen(&pitches(notes))?;
    let rate = heard.rate;
    // Of what begins together the surest note is the string: one is plucked at a time.
    let mut surest: Vec<leverlane_hearing::HeardNote> = Vec::new();
    for note in heard.notes.iter().filter(|note| note.certainty >= LEAST_CERTAIN) {
        match surest.last_mut() {
            Some(last) if (rate.time_of(note.at) - rate.time_of(last.at)).get() < 0.15 => {
                if note.certainty > last.certainty {
                    *last = *note;
                }
            }
            _ => surest.push(*note),
        }
    }
    let stretch = |note: &leverlane_hearing::HeardNote| {
        (note.at, rate.index_at(rate.time_of(note.at) + PluckMeter::NEEDS + Seconds::new(0.1)))
    };
    let stretches: Vec<_> = surest.iter().map(stretch).collect();
    let (mut meter, mut plucks) = (PluckMeter::new(rate), Vec::new());
    arguments.recording.look_into(&stretches, |index, sound| {
        let note = surest[index];
        let about = Hertz::of_note(note.note, Hertz::A4).raised_by(note.cents);
        plucks.extend(meter.measure(sound, note.at, about));
    })?;
    let findings = check_levers(&harp, arguments.a4, &plucks);
    if findings.is_empty() {
        let reason = format!(
            "no string of the harp was heard in it, expected each open and then raised ({}); check --harp, --tuning, \
             --a4 and the recording",
            harp.name()
        );
        return Err(Refusal::of_file(&arguments.recording.file(), reason));
    }
    let answer = Answer { strings: findings.iter().map(string_answer).collect() };
    if arguments.json { output.json(&answer) } else { text(&answer, &harp, output) }
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
        buzz: finding.buzz.map(|buzz| buzz == BuzzHint::MayBuzz),
    }
}

fn text(answer: &Answer, harp: &Harp, output: &mut Output) -> Result<(), Refusal> {
    output.line("string  open    raised by  ")?;
    let open = |number: u8| harp.strings().get(usize::from(number) - 1).map_or(String::new(), |s| s.open.to_string());
    for string in &answer.strings {
        let raise = string.cents.map_or("only one state was heard".to_owned(), |cents| format!("{cents:6.1} cents"));
        let buzz = if string.buzz == Some(true) { ", may buzz" } else { "" };
        let band = string.band.unwrap_or("");
        output.line(format!("{:>6}  {:<6}  {raise}  {band}{buzz}", string.string, open(string.string)))?;
    }
    Ok(())
}
