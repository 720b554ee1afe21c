//! `judge WAV --piece FILE --bars A-B --tempo BPM`: how a recorded drill went, pass by pass.
//!
//! The JSON:
//!
//! ```text
//! {"clicks","passes":[{"start_s","notes":[{"bar","index","onset","midi","heard","error_ms"}],"extra":[{"time_s","midi"}],
//!  "bias_ms","spread_ms","hesitation_ms","flips":[{"string","to","outcome","cents"}],"steady","mend"}]}
//! ```
//!
//! `clicks` is how many of our clicks were taken off, null without --click or where none was heard. Where the passes begin
//! is found in the recording. `onset` is in quarter notes from the start of playing as in `plan`.
//! `error_ms` is counted from where the recording's own passes begin: the first pass begins where its notes on the median
//! are neither early nor late, and the others follow it in the drill's time as long as they keep to it. With --click it is
//! counted from the click.

use std::path::PathBuf;

use clap::Args;
use leverlane_core::drill::{Chunk, Division, Timeline, TimelineOptions};
use leverlane_core::pitch::Cents;
use leverlane_core::plan::{EndOfPiece, Pace};
use leverlane_core::time::{ScoreTime, Seconds, Tempo, Ticks};
use leverlane_core::verdict::{
    Evidence, ExpectedPass, FlipOutcome, HeardNote, NoteOutcome, PassRequest, PlayedHands, Steadiness, Thresholds,
    Verdict, judge,
};
use leverlane_hearing::{FirstLook, PassEar, SampleIndex, SampleRate, find_passes};
use leverlane_listening::{ClicksTakenOff, RecordedClicks};
use leverlane_sound::ClickSound;
use serde::Serialize;

use crate::chunk_choice::{chunk, number};
use crate::click_choice::ClickChoice;
use crate::concert_pitch::ConcertPitch;
use crate::harp_choice::HarpChoice;
use crate::hear::pitches;
use crate::output::{self, Output};
use crate::planned::{PlanChoice, Planned};
use crate::recording::{FirstHearing, Recording};
use crate::refusal::Refusal;
use crate::score_choice::{ScoreChoice, WithinScore};

/// The arguments of `judge`.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    recording: Recording,
    /// The score: MusicXML (.musicxml, .xml), its archive (.mxl), MIDI (.mid) or ABC (.abc); or a piece document (.ron).
    #[arg(long, value_name = "FILE")]
    piece: PathBuf,
    #[command(flatten)]
    within: WithinScore,
    /// The bars that are drilled, by their printed numbers, such as 7-8 or 7. [default: the whole piece]
    #[arg(long, value_name = "A-B")]
    bars: Option<String>,
    #[command(flatten)]
    harp: HarpChoice,
    /// The tempo that is played, in quarter notes a minute, 5 to 400. [default: as written]
    #[arg(long, value_name = "BPM", value_parser = crate::planned::tempo)]
    tempo: Option<Tempo>,
    /// How strictly, and for how fast hands the flips are planned: beginner, improver, fluent or expert.
    /// [default: fluent, or the piece document's]
    #[arg(long, value_name = "LEVEL")]
    pace: Option<Pace>,
    #[command(flatten)]
    pitch: ConcertPitch,
    /// Leverlane's own click is heard in the recording, as played at this tempo: find it, take it off, and count times
    /// from it. --click=high where the high click was chosen.
    #[arg(long, value_name = "SOUND", num_args = 0..=1, require_equals = true, default_missing_value = "usual")]
    click: Option<ClickChoice>,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Serialize)]
struct Answer {
    clicks: Option<usize>,
    passes: Vec<PassAnswer>,
}

#[derive(Debug, Serialize)]
struct PassAnswer {
    start_s: f64,
    notes: Vec<NoteAnswer>,
    extra: Vec<ExtraAnswer>,
    bias_ms: Option<f64>,
    spread_ms: Option<f64>,
    hesitation_ms: Option<f64>,
    flips: Vec<FlipAnswer>,
    steady: Option<bool>,
    mend: Option<String>,
}

#[derive(Debug, Serialize)]
struct NoteAnswer {
    bar: String,
    index: usize,
    onset: String,
    midi: u8,
    heard: bool,
    error_ms: Option<f64>,
}

#[derive(Debug, Serialize)]
struct ExtraAnswer {
    time_s: f64,
    midi: u8,
}

#[derive(Debug, Serialize)]
struct FlipAnswer {
    string: u8,
    to: String,
    outcome: &'static str,
    cents: Option<f64>,
}

/// Passes that begin within this of where the drill's own time has them are taken to keep to it.
const KEEPS_TIME: Seconds = Seconds::new(0.15);
/// How much of the recording around a pass is looked at.
const AROUND: Seconds = Seconds::new(1.5);

/// Listens, finds the passes and judges each.
///
/// # Errors
/// As [`PlanChoice::planned`] and [`Recording::listen`]; bars that the piece doesn't have or that hold no notes, a
/// recording in which no pass is heard.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let choice = PlanChoice {
        score: ScoreChoice::named(arguments.piece.clone(), arguments.within.clone()),
        harp: arguments.harp.clone(),
        tempo: arguments.tempo,
        pace: arguments.pace,
    };
    let planned = choice.planned(EndOfPiece::Stop)?;
    let chunk = chunk(arguments.bars.as_deref(), &choice, &planned)?;
    let request = PassRequest {
        chunk: &chunk,
        performance: &planned.performance,
        plan: &planned.plan,
        harp: &planned.harp,
        hands: PlayedHands::Both,
    };
    let expected = ExpectedPass::of(&request);
    if expected.notes.is_empty() {
        return Err(Refusal::of_file(&choice.score.file(), "no notes in these bars, expected some; change --bars"));
    }
    let notes = expected.notes.iter().flat_map(|note| [Some(note.note), note.other_state]).flatten();
    let ear = Ears { arguments, planned: &planned, chunk: &chunk, expected: &expected };
    let likely = pitches(notes, arguments.pitch.a4);
    let heard = arguments.recording.listen(&likely, arguments.pitch.a4)?;
    let starts = ear.starts(&heard);
    let clicks = match arguments.click {
        Some(choice) => ear.clicks(choice, heard.rate, &starts)?,
        None => None,
    };
    let (heard, starts) = match &clicks {
        Some(found) => {
            let heard = arguments.recording.listen_without(&found.taken_off, &likely, arguments.pitch.a4)?;
            (heard, found.starts.clone())
        }
        None => (heard, starts),
    };
    let passes = ear.judged(&heard, &starts, clicks.as_ref().map(|found| &found.taken_off))?;
    if passes.is_empty() {
        let reason = format!(
            "none of the passes was heard in it ({} plucks in all), expected these bars at this tempo; check --piece, \
             --bars, --tempo, --harp and the recording",
            heard.notes.len()
        );
        return Err(Refusal::of_file(&arguments.recording.file(), reason));
    }
    let answer = Answer {
        clicks: clicks.map(|found| found.taken_off.count()),
        passes: passes.iter().map(|pass| pass_answer(pass, &expected, &planned)).collect(),
    };
    if arguments.json { output.json(&answer) } else { text(&answer, output) }
}

/// A pass with what was heard of it.
struct JudgedPass {
    starts: Seconds,
    evidence: Evidence,
    verdict: Verdict,
}

/// A recording of a drill being listened to.
struct Ears<'a> {
    arguments: &'a Arguments,
    planned: &'a Planned,
    chunk: &'a Chunk,
    expected: &'a ExpectedPass,
}

/// Our clicks in it.
struct FoundClicks {
    /// Where each pass begins by the click.
    starts: Vec<Seconds>,
    taken_off: ClicksTakenOff,
}

impl Ears<'_> {
    fn lasting(&self, ticks: Ticks) -> Seconds {
        self.chunk.tempo.seconds_at(ScoreTime::from_start(ticks))
    }

    /// Where the passes begin by their notes.
    fn starts(&self, heard: &FirstHearing) -> Vec<Seconds> {
        let pass = self.lasting(self.chunk.pass_length());
        in_the_drills_time(find_passes(self.expected, pass, &guessed(heard)), pass)
    }

    /// Our clicks about passes that begin about here; none where they aren't heard, which is told.
    fn clicks(
        &self,
        choice: ClickChoice,
        rate: SampleRate,
        starts: &[Seconds],
    ) -> Result<Option<FoundClicks>, Refusal> {
        let options = TimelineOptions { count_in_bars: 1, division: Division::Divided, ..TimelineOptions::default() };
        let timeline = Timeline::of(self.chunk, &self.planned.performance, &self.planned.plan, options);
        let Some(mut clicks) = RecordedClicks::of(&timeline, choice.sound(), rate) else {
            let reason = format!(
                "{} samples a second can't hold that click, expected {} at least; leave out --click, or record it anew",
                rate.get(),
                ClickSound::HIGH_FROM
            );
            return Err(Refusal::of_file(&self.arguments.recording.file(), reason));
        };
        let stretches: Vec<_> = starts
            .iter()
            .map(|&starts| clicks.around(starts))
            .map(|(from, to)| (rate.index_at(from), rate.index_at(to)))
            .collect();
        let (mut by_click, mut unheard) = (starts.to_vec(), 0);
        self.arguments.recording.look_into(&stretches, None, |index, sound| {
            match clicks.look(starts[index], sound) {
                Some(starts) => by_click[index] = starts,
                None => unheard += 1,
            }
        })?;
        let found = clicks.learnt().map(|taken_off| FoundClicks { starts: by_click, taken_off });
        if unheard > 0 || found.is_none() {
            let of = starts.len();
            output::complain(&format!(
                "{}: the click was not heard in {unheard} of {of} passes, which are judged without it; check --tempo",
                self.arguments.recording.file()
            ));
        }
        Ok(found)
    }

    /// Each pass that begins here, as it is heard without our clicks.
    fn judged(
        &self,
        heard: &FirstHearing,
        starts: &[Seconds],
        clicks: Option<&ClicksTakenOff>,
    ) -> Result<Vec<JudgedPass>, Refusal> {
        let rate = heard.rate;
        let attacks: Vec<SampleIndex> = heard.attacks.iter().map(|attack| attack.at).collect();
        let music = self.lasting(self.chunk.music_length());
        let stretch = |starts: &Seconds| (rate.index_at(*starts - AROUND), rate.index_at(*starts + music + AROUND));
        let stretches: Vec<_> = starts.iter().map(stretch).collect();
        let thresholds = Thresholds::of_level(self.planned.said_pace.level());
        let notes = guessed(heard);
        let first = FirstLook { notes: &notes, attacks: &attacks };
        let mut ear = PassEar::new(rate).at_concert_pitch(self.arguments.pitch.a4);
        let mut passes = Vec::new();
        self.arguments.recording.look_into(&stretches, clicks, |index, sound| {
            let starts = starts[index];
            let evidence = ear.evidence(self.expected, &self.planned.harp, starts, first, sound);
            let verdict = judge(self.expected, &evidence, &thresholds);
            passes.push(JudgedPass { starts, evidence, verdict });
        })?;
        Ok(passes)
    }
}

/// What the first look heard, in seconds.
fn guessed(heard: &FirstHearing) -> Vec<HeardNote> {
    let note = |note: &leverlane_hearing::HeardNote| HeardNote {
        at: heard.rate.time_of(note.at),
        note: note.note,
        cents: note.cents,
        certainty: note.certainty,
    };
    heard.notes.iter().map(note).collect()
}

/// The beginnings moved onto the loop of the pass before wherever they keep to it, so that who drifts is told.
fn in_the_drills_time(mut starts: Vec<Seconds>, pass: Seconds) -> Vec<Seconds> {
    for index in 1..starts.len() {
        let due = starts[index - 1] + pass;
        if (starts[index] - due).get().abs() <= KEEPS_TIME.get() {
            starts[index] = due;
        }
    }
    starts
}

fn pass_answer(pass: &JudgedPass, expected: &ExpectedPass, planned: &Planned) -> PassAnswer {
    let verdict = &pass.verdict;
    let ms = |time: Seconds| (time.get() * 1e4).round() / 10.0;
    let notes = expected.notes.iter().zip(&verdict.notes).map(|(note, verdict)| {
        let played = planned.performance.bars().get(note.played_bar);
        NoteAnswer {
            bar: played.map_or("", |bar| number(&planned.score, bar)).to_owned(),
            index: played.map_or(0, |bar| bar.bar.get()),
            onset: played.map_or(note.onset, |bar| bar.starts.since_start() + note.onset).to_string(),
            midi: note.note.get(),
            heard: matches!(verdict.outcome, NoteOutcome::Hit | NoteOutcome::WrongLever),
            error_ms: verdict.error.map(ms),
        }
    });
    let extra = verdict.extra.iter().filter_map(|&index| pass.evidence.heard.get(index)).map(|heard| ExtraAnswer {
        time_s: ((heard.at + pass.starts).get() * 1e4).round() / 1e4,
        midi: heard.note.get(),
    });
    let flips = verdict.flips.iter().map(|flip| FlipAnswer {
        string: flip.string.get(),
        to: flip.to.to_string(),
        outcome: outcome(flip.outcome),
        cents: flip.cents.map(|cents: Cents| (cents.get() * 10.0).round() / 10.0),
    });
    PassAnswer {
        start_s: (pass.starts.get() * 1e4).round() / 1e4,
        notes: notes.collect(),
        extra: extra.collect(),
        bias_ms: verdict.bias.map(ms),
        spread_ms: verdict.spread.map(ms),
        hesitation_ms: verdict.hesitation.map(|hesitation| ms(hesitation.longer_by)),
        flips: flips.collect(),
        steady: match verdict.steady {
            Steadiness::Steady => Some(true),
            Steadiness::NotYet => Some(false),
            Steadiness::Unheard => None,
        },
        mend: verdict.mend.map(|mend| mend.to_string()),
    }
}

fn outcome(outcome: FlipOutcome) -> &'static str {
    match outcome {
        FlipOutcome::Clean => "clean",
        FlipOutcome::Late => "late",
        FlipOutcome::Half => "half",
        FlipOutcome::Missed => "missed",
        FlipOutcome::Unheard => "unheard",
    }
}

fn text(answer: &Answer, output: &mut Output) -> Result<(), Refusal> {
    for (count, pass) in answer.passes.iter().enumerate() {
        let heard = pass.notes.iter().filter(|note| note.heard).count();
        let steady = match pass.steady {
            Some(true) => "steady",
            Some(false) => "not yet steady",
            None => "too little was heard to say",
        };
        output.line(format!("pass {} at {:.2} s: {steady}", count + 1, pass.start_s))?;
        output.line(format!("  {heard} of {} notes heard, {} too many", pass.notes.len(), pass.extra.len()))?;
        if let (Some(bias), Some(spread)) = (pass.bias_ms, pass.spread_ms) {
            output.line(format!("  {bias:+.0} ms on the median, {spread:.0} ms about it"))?;
        }
        if let Some(hesitation) = pass.hesitation_ms {
            output.line(format!("  {hesitation:+.0} ms across the flip"))?;
        }
        for flip in &pass.flips {
            let cents = flip.cents.map_or(String::new(), |cents| format!(" ({cents:.0} cents above open)"));
            output.line(format!("  string {} {}: {}{cents}", flip.string, flip.to, flip.outcome))?;
        }
        if let Some(mend) = &pass.mend {
            output.line(format!("  {mend}"))?;
        }
    }
    Ok(())
}
