//! `notes FILE`: what was read.
//!
//! The JSON:
//!
//! ```text
//! {"bars":[{"index","number","quarters"}], "order":[bar index…],
//!  "written":[{"bar","onset","midi","spelled","quarters","grace","staff","voice","hand","tie"}],
//!  "warnings":[{"bar","reason"}]}
//! ```
//!
//! `index` and every `bar` are places in the score from 0; `number` is what is printed at the bar. `quarters` and
//! `onset` are quarter notes as "n/d", the onset from the start of its bar. `written` goes part by part, in each by bar
//! and onset; every tied note stands on its own. `midi` and `spelled` are the pitch that sounds. `hand` is null for
//! notes that are not the harp's, `tie` is "", "start", "stop" or "continue". A warning's `bar` is null where it
//! concerns the whole score.

use clap::Args;
use leverlane_core::score::{Hands, Note, NoteKind, Score, Tie};
use leverlane_formats::Warning;
use leverlane_formats::documents::Music;
use serde::Serialize;

use crate::output::Output;
use crate::refusal::Refusal;
use crate::score_choice::ScoreChoice;

/// The arguments of `notes`.
#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    score: ScoreChoice,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

/// Reads the score and shows its notes.
///
/// # Errors
/// A file that holds no score, or a part that it doesn't have.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let opened = arguments.score.open()?;
    let score = &opened.music.score;
    let parts = arguments.score.parts(score)?;
    let hands = Hands::assign(score, &arguments.score.hand_rule(&opened)?);
    let answer = Answer::new(&opened.music, &hands, parts.as_deref());
    if arguments.json { output.json(&answer) } else { text(score, &answer, output) }
}

#[derive(Debug, Serialize)]
struct Answer<'a> {
    bars: Vec<BarAnswer<'a>>,
    order: Vec<usize>,
    written: Vec<NoteAnswer<'a>>,
    warnings: Vec<WarningAnswer<'a>>,
}

#[derive(Debug, Serialize)]
struct BarAnswer<'a> {
    index: usize,
    number: &'a str,
    quarters: String,
}

#[derive(Debug, Serialize)]
struct NoteAnswer<'a> {
    bar: usize,
    onset: String,
    midi: u8,
    spelled: String,
    quarters: String,
    grace: bool,
    staff: u8,
    voice: &'a str,
    hand: Option<String>,
    tie: &'static str,
}

/// A warning in an answer.
#[derive(Debug, Serialize)]
pub struct WarningAnswer<'a> {
    /// The bar's place in the score from 0; none for the whole score.
    pub bar: Option<usize>,
    /// What happened.
    pub reason: &'a str,
}

impl<'a> Answer<'a> {
    fn new(music: &'a Music, hands: &Hands, parts: Option<&[usize]>) -> Answer<'a> {
        let score = &music.score;
        let bars = score.bars().iter().enumerate().map(|(index, bar)| BarAnswer {
            index,
            number: &bar.number,
            quarters: bar.length.to_string(),
        });
        let wanted = |part: usize| parts.is_none_or(|parts| parts.contains(&part));
        let written = score.notes().filter(|(reference, _)| wanted(reference.part)).map(|(reference, note)| {
            let voices = &score.parts()[reference.part].voices;
            let voice = voices.get(usize::from(note.voice.0)).map_or("", String::as_str);
            note_answer(note, voice, hands.of(reference).map(|hand| hand.to_string()))
        });
        Answer {
            bars: bars.collect(),
            order: music.order.bars().iter().map(|bar| bar.get()).collect(),
            written: written.collect(),
            warnings: music.warnings.iter().map(warning_answer).collect(),
        }
    }
}

fn note_answer<'a>(note: &Note, voice: &'a str, hand: Option<String>) -> NoteAnswer<'a> {
    NoteAnswer {
        bar: note.bar.get(),
        onset: note.onset.to_string(),
        midi: note.sounding().midi().get(),
        spelled: note.sounding().ascii(),
        quarters: note.length.to_string(),
        grace: note.kind != NoteKind::Timed,
        staff: note.staff,
        voice,
        hand,
        tie: match note.tie {
            Tie::None => "",
            Tie::Start => "start",
            Tie::Stop => "stop",
            Tie::Continue => "continue",
        },
    }
}

/// A warning as it stands in an answer.
pub fn warning_answer(warning: &Warning) -> WarningAnswer<'_> {
    WarningAnswer { bar: warning.bar.map(|bar| bar.get()), reason: &warning.reason }
}

/// The same for reading: a head, then a line for every moment at which something sounds.
fn text(score: &Score, answer: &Answer<'_>, output: &mut Output) -> Result<(), Refusal> {
    if !score.title().is_empty() {
        output.line(score.title())?;
    }
    let count = |number: usize, what: &str| format!("{number} {what}{}", if number == 1 { "" } else { "s" });
    output.line(format!(
        "{} ({} as played), {}, {}",
        count(answer.bars.len(), "bar"),
        answer.order.len(),
        count(score.parts().len(), "part"),
        count(answer.written.len(), "note")
    ))?;
    let numbers: Vec<&str> = answer.order.iter().map(|&bar| answer.bars[bar].number).collect();
    output.line(format!("bars in playing order: {}", numbers.join(" ")))?;
    output.line(format!(
        "\n{:>6}  {:>7}  {:<6}{:<7}{:>5}  {:<9}{:<6}{:<9}tie",
        "bar", "onset", "pitch", "length", "staff", "  voice", "hand", "kind"
    ))?;
    for note in &answer.written {
        let hand = note.hand.as_deref().unwrap_or("-");
        let kind = if note.grace { "grace" } else { "" };
        let line = format!(
            "{:>6}  {:>7}  {:<6}{:<7}{:>5}    {:<7}{:<6}{:<9}{}",
            answer.bars[note.bar].number,
            note.onset,
            note.spelled,
            note.quarters,
            note.staff,
            note.voice,
            hand,
            kind,
            note.tie
        );
        output.line(line.trim_end())?;
    }
    write_warnings(&answer.warnings, |bar| Some(answer.bars.get(bar)?.number), output)
}

/// A line for each warning, its bar as `number` prints it.
///
/// # Errors
/// As [`Output::line`].
pub fn write_warnings<'a>(
    warnings: &[WarningAnswer<'_>],
    number: impl Fn(usize) -> Option<&'a str>,
    output: &mut Output,
) -> Result<(), Refusal> {
    for warning in warnings {
        match warning.bar.and_then(&number) {
            Some(bar) => output.line(format!("warning: bar {bar}: {}", warning.reason))?,
            None => output.line(format!("warning: {}", warning.reason))?,
        }
    }
    Ok(())
}
