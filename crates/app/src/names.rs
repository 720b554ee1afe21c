//! How things are called on screen.

use leverlane_core::drill::ChunkSize;
use leverlane_core::harp::{LeverState, StringNumber};
use leverlane_core::meter::{BarPlace, Counting};
use leverlane_core::pitch::SpelledPitch;
use leverlane_core::plan::{Change, Edit, Flip, Gesture, PaceLevel, ProblemKind, TopTempo};
use leverlane_core::score::{BarIndex, Hand};
use leverlane_core::time::{ScoreTime, Tempo, Ticks};

use crate::state::{Piece, Planned};

/// A pitch without its octave, with a natural sign where nothing is altered: `F♯`, `B♭`, `C♮`.
pub fn letter_and_sign(pitch: SpelledPitch) -> String {
    let sign = match pitch.alter() {
        0 => "♮".to_owned(),
        alter if alter < 0 => "♭".repeat(usize::from(alter.unsigned_abs())),
        alter => "♯".repeat(usize::from(alter.unsigned_abs())),
    };
    format!("{}{sign}", pitch.letter())
}

/// The arrow of a lever's way.
pub fn arrow(to: LeverState) -> &'static str {
    match to {
        LeverState::Up => "↑",
        LeverState::Down => "↓",
    }
}

/// A hand in two words.
pub fn hand(hand: Hand) -> &'static str {
    match hand {
        Hand::Left => "left hand",
        Hand::Right => "right hand",
    }
}

/// A flip in short: `F♯4 ↑`.
pub fn flip(flip: &Flip) -> String {
    let pitch = flip.sounds;
    format!("{}{} {}", letter_and_sign(pitch), pitch.octave(), arrow(flip.to))
}

/// The flips of a gesture in short: `F♯4 ↑ G♯4 ↑`.
pub fn gesture(gesture: &Gesture) -> String {
    gesture.flips.iter().map(flip).collect::<Vec<_>>().join("  ")
}

/// The flips of a gesture for the ear: `F sharp 4 up and G sharp 4 up`.
pub fn gesture_spoken(gesture: &Gesture) -> String {
    gesture
        .flips
        .iter()
        .map(|flip| format!("{} {}", pitch_spoken(flip.sounds), flip.to))
        .collect::<Vec<_>>()
        .join(" and ")
}

/// A pitch for the ear: `F sharp 4`.
pub fn pitch_spoken(pitch: SpelledPitch) -> String {
    let sign = match pitch.alter() {
        0 => "",
        1 => " sharp",
        -1 => " flat",
        alter if alter > 0 => " raised twice",
        _ => " lowered twice",
    };
    format!("{}{sign} {}", pitch.letter(), pitch.octave())
}

/// A place as the player counts it: `bar 12, beat 4`, `bar 12, beat 4½`, with the time through where a bar comes again.
pub fn place(piece: &Piece, played_bar: usize, at: ScoreTime) -> String {
    let Some(bar) = piece.performance.bars().get(played_bar) else { return String::new() };
    let beat = beat(bar.place_of(at, Counting::Beats));
    let number = piece.bar_number(played_bar);
    match bar.earlier_times {
        0 => format!("bar {number}, beat {beat}"),
        earlier => format!("bar {number}, beat {beat}, {} time", ordinal(earlier + 1)),
    }
}

/// A counted beat: `3`, `3½`, `3⅓`, or with decimals where no such sign fits.
pub fn beat(place: BarPlace) -> String {
    let signs = [(0.0, ""), (0.5, "½"), (0.25, "¼"), (0.75, "¾"), (1.0 / 3.0, "⅓"), (2.0 / 3.0, "⅔")];
    match signs.iter().find(|(part, _)| (part - place.fraction).abs() < 1e-9) {
        Some((_, sign)) => format!("{}{sign}", place.beat),
        None => format!("{:.2}", place.as_number()),
    }
}

fn ordinal(n: u32) -> String {
    match n {
        1 => "1st".to_owned(),
        2 => "2nd".to_owned(),
        3 => "3rd".to_owned(),
        n => format!("{n}th"),
    }
}

/// A tempo with its unit, in words since no text font has every note sign: `96 quarters a minute`.
pub fn tempo(tempo: Tempo) -> String {
    format!("{} {} a minute", number(tempo.per_minute()), beat_unit(tempo.beat()))
}

/// What a tempo counts.
pub fn beat_unit(beat: Ticks) -> String {
    match beat.quarters_ratio() {
        (1, 1) => "quarters".to_owned(),
        (1, 2) => "eighths".to_owned(),
        (2, 1) => "halves".to_owned(),
        (3, 2) => "dotted quarters".to_owned(),
        (3, 1) => "dotted halves".to_owned(),
        (3, 4) => "dotted eighths".to_owned(),
        _ => format!("beats of {} quarters", number(beat.quarters())),
    }
}

/// A number without idle decimals: `96`, `61.5`.
pub fn number(value: f64) -> String {
    let tenths = (value * 10.0).round() / 10.0;
    if tenths.fract() == 0.0 { format!("{tenths:.0}") } else { format!("{tenths:.1}") }
}

/// The tempo at which a gesture just fits, rounded down so that it is true; in the unit of the goal tempo.
pub fn top_tempo(top: TopTempo, unit: Ticks) -> String {
    let per_minute = top.quarters_per_minute / unit.quarters();
    if per_minute < 1.0 { "none".to_owned() } else { format!("{}", per_minute.floor()) }
}

/// How much music the loop takes.
pub fn chunk_size(size: ChunkSize) -> &'static str {
    match size {
        ChunkSize::FlipBar => "the flip's own bar",
        ChunkSize::BarEachSide => "a bar each side",
        ChunkSize::TwoBarsEachSide => "two bars each side",
        ChunkSize::WholePiece => "the whole piece",
    }
}

/// A pace in the sentence "for … hands".
pub fn pace(pace: PaceLevel) -> &'static str {
    match pace {
        PaceLevel::Beginner => "a beginner's",
        PaceLevel::Improver => "an improver's",
        PaceLevel::Fluent => "fluent",
        PaceLevel::Expert => "an expert's",
    }
}

/// What is wrong, with the notes concerned.
pub fn problem(kind: ProblemKind, notes: &str) -> String {
    match kind {
        ProblemKind::OffTheHarp => format!("{notes} lies outside this harp's range"),
        ProblemKind::NotInTuning => format!("{notes} can't be reached from this tuning on any string"),
        ProblemKind::NoLever => format!("{notes} would need a lever that its string doesn't have"),
        ProblemKind::SameString => format!("{notes} need one string in two ways at once"),
        ProblemKind::NoRoomForFlip => format!("no room for a flip between {notes}"),
        ProblemKind::Rushed => format!("too little time for the flip before {notes}"),
        ProblemKind::EditNotMet => format!("your own choice for {notes} can't be met"),
    }
}

/// What to do about it, as a button says it; none for what the window can't do by itself yet.
pub fn way_out(change: &Change, piece: &Piece, planned: &Planned) -> Option<String> {
    Some(match change {
        Change::NoFasterThan(slower) => format!("Slow down to {}", tempo(*slower)),
        Change::Tuning(tuning) => format!("Tune the harp to {tuning}"),
        Change::Harp(preset, tuning) => format!("Take a harp of {}, in {tuning}", preset.name()),
        Change::Edit(edit) => decision(edit, piece, planned),
        Change::DampAndFlip(edit) => format!("{} and damp the string first", decision(edit, piece, planned)),
        Change::Withdraw(edit) => format!("Take back: {}", decision(edit, piece, planned)),
        Change::Rewrite(_) | Change::Retune { .. } => return None,
    })
}

/// One of the player's decisions.
fn decision(edit: &Edit, piece: &Piece, planned: &Planned) -> String {
    let string = |number: StringNumber| match planned.harp.string(number) {
        Some(string) => format!("the {}{} string", string.open.letter(), string.open.octave()),
        None => format!("string {number}"),
    };
    let written_place = |bar: BarIndex, at: Ticks| {
        piece.score.bar(bar).map_or_else(String::new, |bar| {
            let place = BarPlace::at(at + bar.anacrusis, &bar.meter, Counting::Beats);
            format!(" in bar {}, on beat {}", bar.number, beat(place))
        })
    };
    match edit {
        Edit::Hand { flip, hand: other } => format!("Flip {} with the {}", string(flip.string), hand(*other)),
        Edit::Place { flip, bar, at } => format!("Flip {}{}", string(flip.string), written_place(*bar, *at)),
        Edit::Preset { string: number, state } => format!("Set {} {state} before the start", string(*number)),
        Edit::Forbid { flip } => {
            format!("Don't flip {} for{}", string(flip.string), written_place(flip.needed_in, flip.needed_at))
        }
        Edit::String { note, string: number } => {
            format!("Play {}{} on {}", note.pitch, written_place(note.bar, note.at), string(*number))
        }
    }
}

#[cfg(test)]
mod tests;
