//! What isn't done alike each time through a bar that comes by more than once.

use leverlane_core::harp::{LeverState, StringNumber};
use leverlane_core::meter::{BarPlace, Counting};
use leverlane_core::plan::{Differing, FlipPlace, RepeatDifference};
use leverlane_core::score::{BarIndex, NoteName};
use leverlane_core::time::{ScoreTime, Ticks};

use crate::names;
use crate::state::{Piece, Planned};
use crate::words::Words;

/// All that differs at some times through one bar.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RepeatLine {
    /// The bar, and which times.
    pub place: String,
    /// What differs, each in a sentence.
    pub told: Vec<String>,
}

/// Every bar that isn't played alike each time, with the instant at which it is first played otherwise.
pub fn repeat_lines(words: Words, piece: &Piece, planned: &Planned) -> Vec<(ScoreTime, RepeatLine)> {
    let differences = &planned.plan.repeats;
    let alike = |a: &RepeatDifference, b: &RepeatDifference| (a.bar, &a.times) == (b.bar, &b.times);
    let mut sorted: Vec<&RepeatDifference> = differences.iter().collect();
    sorted.sort_by_key(|difference| (difference.bar, &difference.times));
    let groups = sorted.chunk_by(|a, b| alike(a, b));
    groups.filter_map(|group| Some((begins(piece, group[0])?, repeat_line(words, piece, planned, group)?))).collect()
}

fn begins(piece: &Piece, difference: &RepeatDifference) -> Option<ScoreTime> {
    let first = *difference.times.first()?;
    let bars = piece.performance.bars().iter();
    bars.filter(|bar| bar.bar == difference.bar).find(|bar| bar.earlier_times + 1 == first).map(|bar| bar.starts)
}

fn repeat_line(words: Words, piece: &Piece, planned: &Planned, group: &[&RepeatDifference]) -> Option<RepeatLine> {
    let bar = piece.score.bar(group[0].bar)?;
    let times = group[0].times.iter().map(|&time| words.with("repeat-time", [("time", time.into())]));
    let times = times.collect::<Vec<_>>().join(&format!(" {} ", words.text("and")));
    let place = words.with("repeat-place", [("bar", bar.number.clone().into()), ("times", times.into())]);
    let told = group.iter().map(|difference| match difference.what {
        Differing::Flip { string, to, first, then } => {
            let at = |made: Option<FlipPlace>| flip_at(words, piece, difference.bar, made);
            differs(words, moved(words, planned, string, to), at(then), at(first))
        }
        Differing::String { note, first, then } => {
            let on = |string: Option<StringNumber>| match string {
                Some(string) => names::string(words, planned, string),
                None => words.text("repeat-not-played"),
            };
            differs(words, note_at(words, piece, &note), on(then), on(first))
        }
    });
    Some(RepeatLine { place, told: told.collect() })
}

fn differs(words: Words, what: String, then: String, first: String) -> String {
    words.with("repeat-differs", [("what", what.into()), ("then", then.into()), ("first", first.into())])
}

/// A lever's movement as the marks name it: `G♯4 ↑`.
fn moved(words: Words, planned: &Planned, string: StringNumber, to: LeverState) -> String {
    let Some(strung) = planned.harp.string(string) else { return names::string(words, planned, string) };
    let sounds = strung.sounds(to);
    format!("{} {}", words.in_octave(&words.flip_note(sounds), sounds), names::arrow(to))
}

fn flip_at(words: Words, piece: &Piece, bar: BarIndex, made: Option<FlipPlace>) -> String {
    let Some(FlipPlace { at, hand }) = made else { return words.text("repeat-no-flip") };
    let gaps = [("beat", beat(words, piece, bar, at).into()), ("hand", names::hand(words, hand).into())];
    words.with("repeat-flip-at", gaps)
}

fn note_at(words: Words, piece: &Piece, note: &NoteName) -> String {
    let gaps = [("note", words.pitch(note.pitch).into()), ("beat", beat(words, piece, note.bar, note.at).into())];
    words.with("repeat-note", gaps)
}

fn beat(words: Words, piece: &Piece, bar: BarIndex, at: Ticks) -> String {
    let bar = piece.score.bar(bar);
    bar.map_or_else(String::new, |bar| {
        names::beat(words, BarPlace::at(at + bar.anacrusis, &bar.meter, Counting::Beats))
    })
}
