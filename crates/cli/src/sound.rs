//! `sound FILE --bars A-B --tempo BPM -o OUT.wav`: the sound of a drill as a file, by the code that plays it.
//!
//! The WAV has two channels of 16 bits at 48,000 samples a second. It begins with the count-in; the passes follow, each
//! with the bars at its seam in which levers are set back.
//!
//! The JSON, times in seconds, levers as in `plan`:
//!
//! ```text
//! {"file","sample_rate","samples","count_in_s","pass_s","seam_bars","start":[{"string","open","to"}],
//!  "warnings":[{"bar","reason"}]}
//! ```

use std::num::NonZeroU32;
use std::path::PathBuf;

use clap::{Args, ValueEnum};
use leverlane_core::drill::{Chunk, Speech, Timeline, TimelineOptions};
use leverlane_core::harp::LeverState;
use leverlane_core::plan::EndOfPiece;
use leverlane_core::time::Seconds;
use leverlane_formats::files;
use leverlane_sound::offline::{self, Extent};
use leverlane_sound::{Mix, Program, SampleRate, Volume};
use serde::Serialize;

use crate::chunk_choice::{chunk, number};
use crate::click_choice::ClickChoice;
use crate::levers::{LeverAnswer, levers};
use crate::notes::{WarningAnswer, warning_answer};
use crate::output::Output;
use crate::planned::{PlanChoice, Planned};
use crate::refusal::Refusal;

/// The arguments of `sound`.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    choice: PlanChoice,
    /// The bars to loop, by their printed numbers, such as 7-8 or 7; the first time they are played. They open at the
    /// tempo that --tempo names. [default: the whole piece]
    #[arg(long, value_name = "A-B")]
    bars: Option<String>,
    /// The WAV file to write; one of that name is replaced.
    #[arg(short, long = "output", value_name = "OUT.wav")]
    output: PathBuf,
    /// How many passes.
    #[arg(long, value_name = "N", default_value = "4", conflicts_with = "seconds")]
    passes: NonZeroU32,
    /// How many seconds in all, instead of a number of passes.
    #[arg(long, value_name = "N")]
    seconds: Option<f64>,
    /// Bars counted before the first pass.
    #[arg(long, value_name = "N", default_value = "1", value_parser = clap::value_parser!(u8).range(0..=8))]
    count_in: u8,
    /// Speak the count and the flips.
    #[arg(long)]
    spoken: bool,
    /// The click's sound.
    #[arg(long, value_name = "SOUND", default_value = "usual")]
    click: ClickChoice,
    /// Leave these out; may be given several times.
    #[arg(long, value_name = "WHAT")]
    mute: Vec<Mute>,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

/// What can be left out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Mute {
    Click,
    Cue,
    Left,
    Right,
    Guide,
}

/// The longest sound that is written: twenty minutes, some 230 MB.
const LONGEST: Seconds = Seconds::new(1200.0);

#[derive(Debug, Serialize)]
struct Answer<'a> {
    file: String,
    sample_rate: u32,
    samples: usize,
    count_in_s: f64,
    pass_s: f64,
    seam_bars: usize,
    start: Vec<LeverAnswer>,
    warnings: Vec<WarningAnswer<'a>>,
}

/// Renders the drill and writes it.
///
/// # Errors
/// As [`PlanChoice::planned`]; bars that the piece doesn't have, a sound that is too long, a file that can't be written.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let planned = arguments.choice.planned(EndOfPiece::Stop)?;
    let chunk = chunk(arguments.bars.as_deref(), &arguments.choice, &planned)?;
    let speech = if arguments.spoken { Speech::Spoken } else { Speech::Silent };
    let options = TimelineOptions { count_in_bars: arguments.count_in, speech, ..TimelineOptions::default() };
    let timeline = Timeline::of(&chunk, &planned.performance, &planned.plan, options);
    let program = Program::new(&timeline, SampleRate::USUAL).clicking(arguments.click.sound());
    let (count_in, pass) = (program.count_in_lasts(), program.pass_lasts());
    let extent = extent(arguments, count_in, pass)?;
    arguments.choice.score.keep_from(&arguments.output)?;
    let frames = offline::render(program, mix(&arguments.mute), extent);
    offline::write_wav(&arguments.output, &frames, SampleRate::USUAL)
        .map_err(|error| Refusal::Refused(format!("{error}; check the folder and the disk")))?;
    let answer = Answer {
        file: files::shown(&arguments.output),
        sample_rate: SampleRate::USUAL.get(),
        samples: frames.len(),
        count_in_s: count_in.get(),
        pass_s: pass.get(),
        seam_bars: chunk.seam.len(),
        start: levers(&planned.harp, &chunk.start),
        warnings: planned.warnings.iter().map(warning_answer).collect(),
    };
    if arguments.json { output.json(&answer) } else { text(&answer, &planned, &chunk, output) }
}

fn extent(arguments: &Arguments, count_in: Seconds, pass: Seconds) -> Result<Extent, Refusal> {
    let passes = arguments.passes;
    let (length, extent) = match arguments.seconds {
        Some(seconds) if seconds.is_nan() || seconds <= 0.0 => {
            return Err(Refusal::wrong_usage(format!("--seconds {seconds}: expected more than 0")));
        }
        Some(seconds) => (Seconds::new(seconds), Extent::Lasting(Seconds::new(seconds))),
        None => (count_in + pass * f64::from(passes.get()), Extent::Passes(passes)),
    };
    if length > LONGEST {
        let (found, limit) = (length.get(), LONGEST.get());
        let reason = format!("a sound of {found:.0} s, expected at most {limit:.0} s; take fewer passes or bars");
        return Err(Refusal::of_file(&files::shown(&arguments.output), reason));
    }
    Ok(extent)
}

fn mix(mute: &[Mute]) -> Mix {
    let mut mix = Mix::default();
    for what in mute {
        let volume = match what {
            Mute::Click => &mut mix.click,
            Mute::Cue => &mut mix.cue,
            Mute::Left => &mut mix.left_hand,
            Mute::Right => &mut mix.right_hand,
            Mute::Guide => &mut mix.guide,
        };
        *volume = Volume::SILENT;
    }
    mix
}

fn text(answer: &Answer<'_>, planned: &Planned, chunk: &Chunk, output: &mut Output) -> Result<(), Refusal> {
    let named = |bar: usize| planned.performance.bars().get(bar).map_or("", |played| number(&planned.score, played));
    let length = answer.samples as f64 / f64::from(answer.sample_rate);
    output.line(format!("{}: bars {} to {}, {length:.1} s", answer.file, named(chunk.first), named(chunk.last)))?;
    output.line(format!(
        "count-in {:.2} s, then passes of {:.2} s, {} of their bars without notes",
        answer.count_in_s, answer.pass_s, answer.seam_bars
    ))?;
    let up = planned.harp.numbered().filter(|(number, _)| chunk.start.of(*number) == LeverState::Up);
    let up: Vec<String> = up.map(|(_, string)| string.sounds(LeverState::Up).to_string()).collect();
    output.line(format!("levers up at the start: {}", if up.is_empty() { "none".to_owned() } else { up.join(", ") }))
}
