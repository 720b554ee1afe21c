//! `tune WAV --harp … --tuning …`: how the strings of a recording are tuned, levers down.
//!
//! The JSON, plucked strings from the top, then the plucks that could be either of two strings or none:
//!
//! ```text
//! {"a4","strings":[{"string","open","target_hz","hertz","cents","advice"}],"unknown":[{"time_s","hertz","between"}]}
//! ```
//!
//! `cents` is how far above its pitch the string sounds, `advice` "tighten", "leave" or "slacken"; `between` names the lower
//! string first.

use clap::Args;
use leverlane_core::harp::{Harp, StringNumber};
use leverlane_core::pitch::Hertz;
use leverlane_core::time::Seconds;
use leverlane_hearing::{MeasuredPluck, StringTuning, Tuner, TunerReading, TuningAdvice};
use serde::Serialize;

use crate::concert_pitch::ConcertPitch;
use crate::harp_choice::HarpChoice;
use crate::output::Output;
use crate::recording::Recording;
use crate::refusal::Refusal;
use crate::single_plucks::single_plucks;

/// The arguments of `tune`.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    recording: Recording,
    #[command(flatten)]
    harp: HarpChoice,
    #[command(flatten)]
    pitch: ConcertPitch,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct Answer {
    a4: f64,
    strings: Vec<StringAnswer>,
    unknown: Vec<UnknownAnswer>,
}

#[derive(Debug, Serialize)]
struct StringAnswer {
    string: u8,
    open: String,
    target_hz: f64,
    hertz: f64,
    cents: f64,
    advice: &'static str,
}

#[derive(Debug, Serialize)]
struct UnknownAnswer {
    time_s: f64,
    hertz: f64,
    between: Vec<u8>,
}

/// What is said wherever a string is to be tightened (common practice).
const CAUTION: &str = "Tighten a little at a time and keep your face away from the string: tuned above its pitch it can \
                       snap. Be sure that it is this string and no other; if a string is old, frayed or much too low, ask \
                       your teacher or the harp's maker first.";

/// Listens, measures and tells.
///
/// # Errors
/// As [`Recording::listen`]; a recording in which no string of the harp is heard.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let harp = arguments.harp.document(None)?.harp();
    let plucks = single_plucks(&arguments.recording, &harp, arguments.pitch.a4)?;
    let tuner = Tuner::new(&harp, arguments.pitch.a4);
    let strings = tuner.each(plucks.iter().map(|(_, pluck)| pluck.hertz));
    let unknown: Vec<UnknownAnswer> = plucks.iter().filter_map(|pluck| unknown_answer(&tuner, pluck)).collect();
    if strings.is_empty() && unknown.is_empty() {
        let reason = format!(
            "no string of the harp was heard in it, expected one after the other with levers down ({}); check --harp, \
             --tuning, --a4 and the recording",
            harp.name()
        );
        return Err(Refusal::of_file(&arguments.recording.file(), reason));
    }
    let strings = strings.iter().map(|tuning| string_answer(tuning, &harp)).collect();
    let answer = Answer { a4: arguments.pitch.a4.get(), strings, unknown };
    if arguments.json { output.json(&answer) } else { text(&answer, &harp, output) }
}

fn hundredths(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

fn open(harp: &Harp, number: StringNumber) -> String {
    harp.string(number).map_or(String::new(), |string| string.open.ascii())
}

fn string_answer(tuning: &StringTuning, harp: &Harp) -> StringAnswer {
    let of = |hertz: Hertz| hundredths(hertz.get());
    StringAnswer {
        string: tuning.string.get(),
        open: open(harp, tuning.string),
        target_hz: of(tuning.target),
        hertz: of(tuning.hertz),
        cents: hundredths(tuning.off().get()),
        advice: match tuning.advice() {
            TuningAdvice::Tighten => "tighten",
            TuningAdvice::Leave => "leave",
            TuningAdvice::Slacken => "slacken",
        },
    }
}

fn unknown_answer(tuner: &Tuner, (at, pluck): &(Seconds, MeasuredPluck)) -> Option<UnknownAnswer> {
    let between = match tuner.read(pluck.hertz) {
        TunerReading::Known(_) => return None,
        TunerReading::Between(one, other) => vec![one.get().max(other.get()), one.get().min(other.get())],
        TunerReading::NoString => Vec::new(),
    };
    Some(UnknownAnswer { time_s: (at.get() * 1e3).round() / 1e3, hertz: hundredths(pluck.hertz.get()), between })
}

fn text(answer: &Answer, harp: &Harp, output: &mut Output) -> Result<(), Refusal> {
    output.line(format!("{}, levers down, A4 = {} Hz", harp.name(), answer.a4))?;
    for string in &answer.strings {
        output.line(format!(
            "{:>6}  {:<4}  {:8.2} Hz  {:+6.1} cents  {}",
            string.string, string.open, string.hertz, string.cents, string.advice
        ))?;
    }
    for unknown in &answer.unknown {
        let named = unknown.between.iter().filter_map(|&number| StringNumber::new(number));
        let named: Vec<String> = named.map(|number| open(harp, number)).collect();
        let reason = match &named[..] {
            [one, other] => format!("lies between {one} and {other}: compare it with its octave before you turn a pin"),
            _ => "is near no string of this harp".to_owned(),
        };
        output.line(format!("{:>6.1} s  {:8.2} Hz  {reason}", unknown.time_s, unknown.hertz))?;
    }
    let tightens = answer.strings.iter().any(|string| string.advice == "tighten");
    if tightens || !answer.unknown.is_empty() { output.line(CAUTION) } else { Ok(()) }
}
