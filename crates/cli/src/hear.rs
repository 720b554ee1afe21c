//! `hear WAV`: what a recording holds.
//!
//! The JSON:
//!
//! ```text
//! {"onsets":[{"time_s","certainty","notes":[{"midi","cents","certainty"}]}]}
//! ```
//!
//! Onsets are plucks, by time; those of one moment stand together. `cents` is how far above the note it sounded at
//! the concert pitch.

use clap::Args;
use leverlane_core::pitch::{Cents, Hertz, MidiNote};
use leverlane_core::time::Seconds;
use serde::Serialize;

use crate::concert_pitch::ConcertPitch;
use crate::output::Output;
use crate::recording::{FirstHearing, Recording};
use crate::refusal::Refusal;

/// The arguments of `hear`.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    recording: Recording,
    #[command(flatten)]
    pitch: ConcertPitch,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

/// Notes that begin within this of each other are told as one onset: nobody hears which was first (Hirsh 1959).
const ONE_ONSET: Seconds = Seconds::new(0.020);

#[derive(Debug, Serialize)]
struct Answer {
    onsets: Vec<OnsetAnswer>,
}

#[derive(Debug, Serialize)]
struct OnsetAnswer {
    time_s: f64,
    certainty: f64,
    notes: Vec<NoteAnswer>,
}

#[derive(Debug, Serialize)]
struct NoteAnswer {
    midi: u8,
    cents: f64,
    certainty: f64,
}

/// Listens and tells.
///
/// # Errors
/// As [`Recording::listen`].
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let heard = arguments.recording.listen(&[], arguments.pitch.a4)?;
    let answer = Answer { onsets: onsets(&heard) };
    if arguments.json {
        return output.json(&answer);
    }
    if answer.onsets.is_empty() {
        return output.line("nothing was plucked");
    }
    for onset in &answer.onsets {
        let notes: Vec<String> = onset.notes.iter().map(named).collect();
        output.line(format!("{:>9.3} s  {}", onset.time_s, notes.join("  ")))?;
    }
    Ok(())
}

fn onsets(heard: &FirstHearing) -> Vec<OnsetAnswer> {
    let mut onsets: Vec<OnsetAnswer> = Vec::new();
    let thousandths = |value: f64| (value * 1000.0).round() / 1000.0;
    for note in &heard.notes {
        let time = heard.rate.time_of(note.at).get();
        let answer = NoteAnswer {
            midi: note.note.get(),
            cents: (note.cents.get() * 10.0).round() / 10.0,
            certainty: thousandths(note.certainty),
        };
        match onsets.last_mut() {
            Some(last) if time - last.time_s < ONE_ONSET.get() => {
                last.certainty = last.certainty.max(answer.certainty);
                last.notes.push(answer);
            }
            _ => onsets.push(OnsetAnswer {
                time_s: (time * 1e6).round() / 1e6,
                certainty: answer.certainty,
                notes: vec![answer],
            }),
        }
    }
    onsets
}

/// A note by its usual name with sharps, how far off it was, and a question mark where it is doubtful.
fn named(note: &NoteAnswer) -> String {
    const NAMES: [&str; 12] = ["C", "C♯", "D", "D♯", "E", "F", "F♯", "G", "G♯", "A", "A♯", "B"];
    let name = NAMES[usize::from(note.midi % 12)];
    let octave = i16::from(note.midi / 12) - 1;
    let doubt = if note.certainty < 0.5 { "?" } else { "" };
    format!("{name}{octave}{doubt} {:+.0}", note.cents)
}

/// The pitches of some notes.
pub fn pitches(notes: impl Iterator<Item = MidiNote>, concert_pitch: Hertz) -> Vec<Hertz> {
    let mut hertz: Vec<Hertz> = notes.map(|note| Hertz::of_note(note, concert_pitch)).collect();
    hertz.sort_by(|a, b| a.get().total_cmp(&b.get()));
    hertz.dedup_by(|a, b| a.above(*b).get() < Cents::new(1.0).get());
    hertz
}
