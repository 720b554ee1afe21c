//! How the things of music are called on screen.

mod listening;
mod practice;
mod troubles;

pub use listening::{
    clock_trouble, heard_result, heard_string, latency_error, level_warning, loss, refusal, taps_error,
};
pub use practice::{cues, layer, mend, offer, standing};
pub use troubles::{
    chunk_error, device_loss, diary_error, engraving_error, harp_error, ladder_error, not_kept, sound_error,
    thresholds_error,
};

use eframe::egui::{Key, Modifiers};
use leverlane_core::drill::ChunkSize;
use leverlane_core::harp::{LeverState, StringNumber};
use leverlane_core::meter::{BarPlace, Counting};
use leverlane_core::plan::{Change, Edit, Flip, Gesture, Pace, PaceLevel, ProblemKind, Refusal, RefusedEdit, TopTempo};
use leverlane_core::score::{BarIndex, Hand};
use leverlane_core::time::{ScoreTime, Tempo, Ticks};
use leverlane_formats::documents::HarpDocument;

use crate::keys::{Action, Binding};
use crate::state::{Piece, Place, Planned, State};
use crate::words::Words;

/// One of the four places.
pub fn place_name(words: Words, place: Place) -> String {
    match place {
        Place::Piece => words.text("place-piece"),
        Place::Harp => words.text("place-harp"),
        Place::Drill => words.text("place-drill"),
        Place::Diary => words.text("place-diary"),
    }
}

/// The arrow of a lever's way.
pub fn arrow(to: LeverState) -> &'static str {
    match to {
        LeverState::Up => "↑",
        LeverState::Down => "↓",
    }
}

/// The way of a lever in a word.
pub fn lever_word(words: Words, to: LeverState) -> String {
    match to {
        LeverState::Up => words.text("lever-up"),
        LeverState::Down => words.text("lever-down"),
    }
}

/// A hand in two words.
pub fn hand(words: Words, hand: Hand) -> String {
    match hand {
        Hand::Left => words.text("hand-left"),
        Hand::Right => words.text("hand-right"),
    }
}

/// A hand in one letter, as on a flip's mark.
pub fn hand_letter(words: Words, hand: Hand) -> String {
    match hand {
        Hand::Left => words.text("hand-left-letter"),
        Hand::Right => words.text("hand-right-letter"),
    }
}

/// A flip in short: `F♯4 ↑`.
pub fn flip(words: Words, flip: &Flip) -> String {
    let pitch = flip.sounds;
    format!("{} {}", words.in_octave(&words.flip_note(pitch), pitch), arrow(flip.to))
}

/// The flips of a gesture in short: `F♯4 ↑ G♯4 ↑`.
pub fn gesture(words: Words, gesture: &Gesture) -> String {
    gesture.flips.iter().map(|one| flip(words, one)).collect::<Vec<_>>().join("  ")
}

/// The flips of a gesture for the ear: `F sharp 4 up and G sharp 4 up`.
pub fn gesture_spoken(words: Words, gesture: &Gesture) -> String {
    let each = |flip: &Flip| format!("{} {}", words.pitch_spoken(flip.sounds), lever_word(words, flip.to));
    gesture.flips.iter().map(each).collect::<Vec<_>>().join(&format!(" {} ", words.text("and")))
}

/// A place as the player counts it: `bar 12, beat 4`, `bar 12, beat 4½`, with the time through where a bar comes again.
pub fn place(words: Words, piece: &Piece, played_bar: usize, at: ScoreTime) -> String {
    let Some(bar) = piece.performance.bars().get(played_bar) else { return String::new() };
    let beat = beat(words, bar.place_of(at, Counting::Beats));
    let gaps = [
        ("bar", piece.bar_number(played_bar).to_owned().into()),
        ("beat", beat.into()),
        ("time", (bar.earlier_times + 1).into()),
    ];
    words.with("bar-and-beat", gaps)
}

/// A counted beat: `3`, `3½`, `3⅓`, or with decimals where no such sign fits.
pub fn beat(words: Words, place: BarPlace) -> String {
    let signs = [(0.0, ""), (0.5, "½"), (0.25, "¼"), (0.75, "¾"), (1.0 / 3.0, "⅓"), (2.0 / 3.0, "⅔")];
    match signs.iter().find(|(part, _)| (part - place.fraction).abs() < 1e-9) {
        Some((_, sign)) => format!("{}{sign}", place.beat),
        None => words.decimal(place.as_number(), 2),
    }
}

/// A tempo with its unit, in words since no text font has every note sign: `96 quarters a minute`.
pub fn tempo(words: Words, tempo: Tempo) -> String {
    let gaps = [("number", words.number(tempo.per_minute()).into()), ("unit", beat_unit(words, tempo.beat()).into())];
    words.with("tempo", gaps)
}

/// What a tempo counts.
pub fn beat_unit(words: Words, beat: Ticks) -> String {
    match beat.quarters_ratio() {
        (1, 1) => words.text("unit-quarters"),
        (1, 2) => words.text("unit-eighths"),
        (2, 1) => words.text("unit-halves"),
        (3, 2) => words.text("unit-dotted-quarters"),
        (3, 1) => words.text("unit-dotted-halves"),
        (3, 4) => words.text("unit-dotted-eighths"),
        _ => words.with("unit-other", [("quarters", words.number(beat.quarters()).into())]),
    }
}

/// A difference, rounded, with its sign: `+2`, `−7`, `0`.
pub fn signed(words: Words, value: f64) -> String {
    let rounded = value.round();
    match rounded {
        0.0 => words.number(0.0),
        above if above > 0.0 => format!("+{}", words.number(above)),
        below => format!("−{}", words.number(-below)),
    }
}

/// The tempo at which a gesture just fits, rounded down so that it is true, in the unit of the goal tempo; none where
/// no tempo is slow enough.
pub fn top_tempo(top: TopTempo, unit: Ticks) -> Option<String> {
    let per_minute = top.quarters_per_minute / unit.quarters();
    (per_minute >= 1.0).then(|| format!("{}", per_minute.floor()))
}

/// How much music the loop takes.
pub fn chunk_size(words: Words, size: ChunkSize) -> String {
    match size {
        ChunkSize::FlipBar => words.text("chunk-flip-bar"),
        ChunkSize::BarEachSide => words.text("chunk-bar-each-side"),
        ChunkSize::TwoBarsEachSide => words.text("chunk-two-bars-each-side"),
        ChunkSize::Bars { .. } => words.text("chunk-own-bars"),
        ChunkSize::WholePiece => words.text("chunk-whole-piece"),
    }
}

/// The same, bars of the player's own by their printed numbers.
pub fn loop_size(words: Words, piece: &Piece, size: ChunkSize) -> String {
    let ChunkSize::Bars { first, last } = size else { return chunk_size(words, size) };
    let number = |bar: u32| piece.bar_number(bar as usize).to_owned();
    let time = |bar: u32| piece.performance.bars().get(bar as usize).map_or(1, |bar| bar.earlier_times + 1);
    let through = |bar: u32| words.with("bar-through", [("bar", number(bar).into()), ("time", time(bar).into())]);
    if time(first) != time(last) {
        return words.with("chunk-bars", [("from", through(first).into()), ("to", through(last).into())]);
    }
    words.with("chunk-bars", [("from", number(first).into()), ("to", through(last).into())])
}

/// A pace in the sentence "for … hands".
pub fn pace(words: Words, pace: Pace) -> String {
    let level = match pace {
        Pace::Level(level) => level,
        Pace::Measured(factor) => {
            return words.with("pace-measured", [("factor", words.decimal(factor.get(), 2).into())]);
        }
    };
    match level {
        PaceLevel::Beginner => words.text("pace-beginner"),
        PaceLevel::Improver => words.text("pace-improver"),
        PaceLevel::Fluent => words.text("pace-fluent"),
        PaceLevel::Expert => words.text("pace-expert"),
    }
}

/// A usual range, `34 strings, C2–A6`.
pub fn preset(words: Words, preset: leverlane_core::harp::Preset) -> String {
    let harp = preset.tuned(leverlane_core::harp::Tuning::C);
    let ends = harp.strings().last().zip(harp.strings().first());
    let (low, high) =
        ends.map_or_else(Default::default, |(low, high)| (words.string(low.open), words.string(high.open)));
    words.with("harp-range", [("strings", preset.strings().into()), ("low", low.into()), ("high", high.into())])
}

/// A tuning as the player names its key.
pub fn tuning(words: Words, tuning: leverlane_core::harp::Tuning) -> String {
    use leverlane_core::harp::Tuning;
    let text = match tuning {
        Tuning::C => "C4",
        Tuning::F => "F4",
        Tuning::BFlat => "Bb4",
        Tuning::EFlat => "Eb4",
        Tuning::AFlat => "Ab4",
    };
    text.parse().map_or_else(|_| tuning.to_string(), |tonic| words.note(tonic))
}

/// A harp in a few words: its own name, or its range.
pub fn harp(words: Words, harp: &HarpDocument) -> String {
    match harp {
        HarpDocument::Preset { name, preset: range, .. } if name.is_empty() => preset(words, *range),
        HarpDocument::Preset { name, .. } => name.clone(),
        HarpDocument::Listed(harp) if harp.name().is_empty() => {
            words.with("harp-own", [("strings", harp.strings().len().into())])
        }
        HarpDocument::Listed(harp) => harp.name().to_owned(),
    }
}

/// What is wrong, with the notes concerned.
pub fn problem(words: Words, kind: ProblemKind, notes: &str) -> String {
    let gap = [("notes", notes.to_owned().into())];
    match kind {
        ProblemKind::OffTheHarp => words.with("problem-off-the-harp", gap),
        ProblemKind::NotInTuning => words.with("problem-not-in-tuning", gap),
        ProblemKind::NoLever => words.with("problem-no-lever", gap),
        ProblemKind::SameString => words.with("problem-same-string", gap),
        ProblemKind::NoRoomForFlip => words.with("problem-no-room", gap),
        ProblemKind::Rushed => words.with("problem-rushed", gap),
        ProblemKind::EditNotMet => words.with("problem-edit-not-met", gap),
    }
}

/// A string of the planned harp.
pub fn string(words: Words, planned: &Planned, number: StringNumber) -> String {
    match planned.harp.string(number) {
        Some(string) => words.with("string-named", [("name", words.string(string.open).into())]),
        None => words.with("string-numbered", [("number", number.get().into())]),
    }
}

/// What to do about it, as a button says it; none for what the window can't do by itself yet.
pub fn way_out(words: Words, change: &Change, piece: &Piece, planned: &Planned) -> Option<String> {
    let said = |edit: &Edit| decision(words, edit, piece, planned);
    Some(match change {
        Change::NoFasterThan(slower) => words.with("way-slower", [("tempo", tempo(words, *slower).into())]),
        Change::Tuning(other) => words.with("way-tuning", [("tuning", tuning(words, *other).into())]),
        Change::Harp(range, other) => {
            words.with("way-harp", [("harp", preset(words, *range).into()), ("tuning", tuning(words, *other).into())])
        }
        Change::Retune { string: number, open } => words.with(
            "way-retune",
            [("string", string(words, planned, *number).into()), ("pitch", words.pitch(*open).into())],
        ),
        Change::Edit(edit) => said(edit),
        Change::DampAndFlip(edit) => words.with("way-damp", [("decision", said(edit).into())]),
        Change::Withdraw(edit) => words.with("way-withdraw", [("decision", said(edit).into())]),
        Change::Rewrite(_) => return None,
    })
}

/// A place in the written music: `bar 12, beat 4`.
pub fn written_place(words: Words, piece: &Piece, bar: BarIndex, at: Ticks) -> String {
    let Some(bar) = piece.score.bar(bar) else { return words.text("bar-gone") };
    let counted = BarPlace::at(at + bar.anacrusis, &bar.meter, Counting::Beats);
    let gaps = [("bar", bar.number.clone().into()), ("beat", beat(words, counted).into()), ("time", 1.into())];
    words.with("bar-and-beat", gaps)
}

/// One of the player's decisions.
pub fn decision(words: Words, edit: &Edit, piece: &Piece, planned: &Planned) -> String {
    let of = |number: StringNumber| ("string", string(words, planned, number).into());
    match edit {
        Edit::Hand { flip, hand: other } => {
            words.with("way-hand", [of(flip.string), ("hand", hand(words, *other).into())])
        }
        Edit::Place { flip, bar, at } => {
            words.with("way-place", [of(flip.string), ("place", written_place(words, piece, *bar, *at).into())])
        }
        Edit::Preset { string: number, state } => {
            words.with("way-preset", [of(*number), ("state", lever_word(words, *state).into())])
        }
        Edit::Forbid { flip } => {
            let place = written_place(words, piece, flip.needed_in, flip.needed_at);
            words.with("way-forbid", [of(flip.string), ("place", place.into())])
        }
        Edit::String { note, string: number } => {
            let place = written_place(words, piece, note.bar, note.at);
            let note = ("note", words.pitch(note.pitch).into());
            words.with("way-string", [of(*number), note, ("place", place.into())])
        }
    }
}

/// A decision that can't be carried out, and why.
pub fn refused(words: Words, refused: &RefusedEdit, piece: &Piece, planned: &Planned) -> String {
    let reason = match refused.reason {
        Refusal::NoSuchBar => "refused-no-such-bar",
        Refusal::OutsideTheBar => "refused-outside-the-bar",
        Refusal::NoSuchString => "refused-no-such-string",
        Refusal::NoLever => "refused-no-lever",
        Refusal::NoSuchNote => "refused-no-such-note",
        Refusal::StringCannotSound => "refused-string-cannot-sound",
        Refusal::NotNeeded => "refused-not-needed",
        Refusal::OutsideTheWindow(_) => "refused-outside-the-window",
        Refusal::Collides(_) => "refused-collides",
        Refusal::NeededByTheLoop => "refused-needed-by-the-loop",
    };
    let decision = decision(words, &refused.edit, piece, planned);
    words.with("problem-refused", [("decision", decision.into()), ("reason", words.text(reason).into())])
}

/// What stands on a key: `Ctrl Shift S`, `Page Down`, `→`.
pub fn key(words: Words, binding: &Binding) -> String {
    let Modifiers { alt, shift, command, .. } = binding.modifiers;
    let command_key = || if cfg!(target_os = "macos") { "⌘".to_owned() } else { words.text("key-ctrl") };
    let mut parts = Vec::new();
    parts.extend(command.then(command_key));
    parts.extend(alt.then(|| words.text("key-alt")));
    parts.extend(shift.then(|| words.text("key-shift")));
    parts.push(match binding.key {
        Key::Space => words.text("key-space"),
        Key::Enter => words.text("key-enter"),
        Key::PageDown => words.text("key-page-down"),
        Key::PageUp => words.text("key-page-up"),
        Key::Delete => words.text("key-delete"),
        Key::Escape => words.text("key-escape"),
        Key::ArrowLeft => "←".to_owned(),
        Key::ArrowRight => "→".to_owned(),
        Key::ArrowUp => "↑".to_owned(),
        Key::ArrowDown => "↓".to_owned(),
        key => key.symbol_or_name().to_owned(),
    });
    parts.join(" ")
}

/// The key that is shown beside an action's button; nothing where it has none.
pub fn hint(state: &State, action: Action) -> String {
    let shown = state.settings.keys.shown_for(action);
    shown.map_or_else(String::new, |binding| key(state.words(), binding))
}

/// A written bar by its printed number; the whole piece where none is meant.
pub fn written_bar(words: Words, piece: &Piece, bar: Option<BarIndex>) -> String {
    match bar.and_then(|bar| piece.score.bar(bar)) {
        Some(bar) => words.with("bar-numbered", [("bar", bar.number.clone().into())]),
        None => words.text("warnings-whole"),
    }
}

#[cfg(test)]
mod tests;
