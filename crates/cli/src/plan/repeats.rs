//! What isn't done alike each time through a bar: as JSON and in words.
//!
//! ```text
//! "repeats": [{"bar","index","times","words","kind":"flip","string","open","to","sounds",
//!              "first":{"beat","hand"},"then":{"beat","hand"}},
//!             {"bar","index","times","words","kind":"string","beat","note",
//!              "first":{"string","open"},"then":{"string","open"}}]
//! ```
//!
//! `times` are the later times through the bar on which it is so, from 2. `first` and `then` say what is done on the first
//! time and on those; null where the lever isn't moved then, or the note can't be played. `words` says it in a sentence.

use leverlane_core::harp::{LeverState, StringNumber};
use leverlane_core::plan::{Differing, FlipPlace, RepeatDifference, ordinal};
use leverlane_core::score::{Bar, NoteName};
use leverlane_core::time::Ticks;
use serde::Serialize;

use super::json::to_thousandths;
use super::words;
use crate::planned::Planned;

/// One difference.
#[derive(Debug, Serialize)]
pub struct RepeatAnswer<'a> {
    bar: &'a str,
    index: usize,
    times: &'a [u32],
    words: String,
    #[serde(flatten)]
    what: WhatAnswer,
}

#[derive(Debug, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
enum WhatAnswer {
    Flip { string: u8, open: String, to: String, sounds: String, first: Option<FlipAt>, then: Option<FlipAt> },
    String { beat: f64, note: String, first: Option<OnString>, then: Option<OnString> },
}

#[derive(Debug, Serialize)]
struct FlipAt {
    beat: f64,
    hand: String,
}

#[derive(Debug, Serialize)]
struct OnString {
    string: u8,
    open: String,
}

/// A difference as JSON; none where the score has no such bar.
pub fn answer<'a>(planned: &'a Planned, difference: &'a RepeatDifference) -> Option<RepeatAnswer<'a>> {
    let bar = planned.score.bar(difference.bar)?;
    let beat = |at: Ticks| to_thousandths(words::place_in(bar, at).as_number());
    let flip_at = |place: FlipPlace| FlipAt { beat: beat(place.at), hand: place.hand.to_string() };
    let open = |string| planned.harp.string(string).map_or_else(String::new, |string| string.open.ascii());
    let on_string = |string: StringNumber| OnString { string: string.get(), open: open(string) };
    let what = match difference.what {
        Differing::Flip { string, to, first, then } => WhatAnswer::Flip {
            string: string.get(),
            open: open(string),
            to: to.to_string(),
            sounds: planned.harp.string(string).map_or_else(String::new, |string| string.sounds(to).ascii()),
            first: first.map(flip_at),
            then: then.map(flip_at),
        },
        Differing::String { note, first, then } => WhatAnswer::String {
            beat: beat(note.at),
            note: note.pitch.ascii(),
            first: first.map(on_string),
            then: then.map(on_string),
        },
    };
    let words = sentence(planned, bar, difference);
    Some(RepeatAnswer { bar: &bar.number, index: difference.bar.get(), times: &difference.times, words, what })
}

/// A difference in a line: `bar 7, 2nd time: G4 → G♯4 on beat 3 with the left hand, not on beat 2 with the left hand`.
pub fn line(planned: &Planned, difference: &RepeatDifference) -> Option<String> {
    let bar = planned.score.bar(difference.bar)?;
    let times: Vec<String> = difference.times.iter().map(|&time| ordinal(time)).collect();
    Some(format!("bar {}, {} time: {}", bar.number, times.join(", "), sentence(planned, bar, difference)))
}

fn sentence(planned: &Planned, bar: &Bar, difference: &RepeatDifference) -> String {
    match difference.what {
        Differing::Flip { string, to, first, then } => flip(planned, bar, (string, to), (first, then)),
        Differing::String { note, first, then } => note_on(planned, bar, &note, (first, then)),
    }
}

fn flip(
    planned: &Planned,
    bar: &Bar,
    (string, to): (StringNumber, LeverState),
    (first, then): (Option<FlipPlace>, Option<FlipPlace>),
) -> String {
    let moved = words::lever_movement(planned, string, to);
    let at =
        |made: FlipPlace| format!("on beat {} with the {} hand", words::beat(words::place_in(bar, made.at)), made.hand);
    match (first.map(at), then.map(at)) {
        (Some(first), Some(then)) => format!("{moved} {then}, the first time {first}"),
        (None, Some(then)) => format!("{moved} {then}, the first time not in this bar"),
        (first, None) => format!("{moved} not in this bar, the first time {}", first.unwrap_or_default()),
    }
}

fn note_on(
    planned: &Planned,
    bar: &Bar,
    note: &NoteName,
    (first, then): (Option<StringNumber>, Option<StringNumber>),
) -> String {
    let on = |string: Option<StringNumber>| match string {
        Some(string) => format!("on {}", words::string_name(planned, string)),
        None => "not at all".to_owned(),
    };
    let beat = words::beat(words::place_in(bar, note.at));
    format!("{} on beat {beat} is played {}, the first time {}", note.pitch, on(then), on(first))
}
