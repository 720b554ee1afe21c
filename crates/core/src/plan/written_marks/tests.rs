use super::super::tests::small_pieces::{harp, line, piece, planned, played, tune};
use super::*;
use crate::harp::Tuning;
use crate::pitch::Letter;
use crate::plan::EndOfPiece;
use crate::score::{BarIndex, Hand};
use crate::time::Ticks;

fn mark(bar: usize, quarters: i64, text: &str) -> LeverMark {
    let (letter, rest) = text.split_at(1);
    let (sign, octave) = rest.split_at(1);
    LeverMark {
        bar: BarIndex::new(bar),
        at: Ticks::QUARTER * quarters,
        part: 0,
        letter: letter.chars().next().and_then(Letter::from_char).unwrap(),
        alter: ["b", "n", "#"].iter().position(|known| *known == sign).unwrap() as i8 - 1,
        octave: octave.parse().ok(),
    }
}

/// Where the flips of the plan made with the marks' edits are: `string's open pitch, direction, quarter from the start`.
fn flips(performance: &Performance, tuning: Tuning, marks: &[LeverMark]) -> Vec<String> {
    let harp = harp(tuning);
    let edits = edits_of_marks(marks, performance, &harp).edits;
    let plan = planned(performance, &harp, 60.0, EndOfPiece::Stop, &edits);
    let name = |string| harp.string(string).unwrap().open.ascii();
    let each = plan.gestures.iter().flat_map(|gesture| {
        gesture.flips.iter().map(move |flip| format!("{} {} {}", name(flip.string), flip.to, gesture.at))
    });
    each.collect()
}

/// F4 on beat 1, F♯4 on the next bar's; the left hand is free. The player wants the flip on beat 3, a mark that names
/// no octave means the string that F♯ is asked of.
#[test]
fn a_mark_moves_its_flip() {
    let performance = tune(0, "F4 A4 C5 A4 F#4 F5 C5 A4");
    let at_third = flips(&performance, Tuning::EFlat, &[mark(0, 2, "F#")]);
    assert_eq!(at_third, ["F4 up 2/1"]);
    let at_second = flips(&performance, Tuning::EFlat, &[mark(0, 1, "F#4")]);
    assert_eq!(at_second, ["F4 up 1/1"]);
}

/// Marks before the first note are the start setting; G♯4 stands from the start though G♮ is the key's.
#[test]
fn marks_at_the_head_are_presets() {
    let performance = piece(0, &[line(Hand::Right, 1, ". A4 G#4 A4")]);
    let harp = harp(Tuning::C);
    let marked = edits_of_marks(&[mark(0, 0, "G#")], &performance, &harp);
    assert_eq!(marked.unmet, []);
    let presets: Vec<String> = marked
        .edits
        .iter()
        .map(|edit| match *edit {
            Edit::Preset { string, state } => format!("{} {state}", harp.string(string).unwrap().open.ascii()),
            _ => "no preset".to_owned(),
        })
        .collect();
    // The harp of 34 strings, C2 to A6, has five strings of G (its size).
    assert_eq!(presets, ["G6 up", "G5 up", "G4 up", "G3 up", "G2 up"]);
}

/// C5 first sounds as C♯5 in bar 2: the plan alone would set it before the start; the player flips it in bar 1.
#[test]
fn a_mark_in_mid_piece_is_a_flip_even_where_none_is_needed() {
    let performance = tune(0, "A4 B4 A4 B4 A4 C#5 A4 B4");
    assert_eq!(flips(&performance, Tuning::C, &[]), Vec::<String>::new());
    assert_eq!(flips(&performance, Tuning::C, &[mark(0, 3, "C#")]), ["C5 up 3/1"]);
}

/// Two times through: F♮ at the beginning, F♯ at the end, both marks hold each time they are played.
#[test]
fn marks_hold_each_time_through() {
    let performance = played(0, &[line(Hand::Right, 1, "F4 A4 C5 F#4 A4 B4 C5 A4")], 2);
    let marks = [mark(0, 2, "F#"), mark(1, 1, "Fn")];
    let marked = edits_of_marks(&marks, &performance, &harp(Tuning::EFlat));
    assert_eq!((marked.edits.len(), marked.unmet.len()), (3, 0), "up, down for the second time, up");
    assert_eq!(flips(&performance, Tuning::EFlat, &marks), ["F4 up 2/1", "F4 down 5/1", "F4 up 10/1"]);
}

#[test]
fn marks_that_change_nothing_are_told() {
    let performance = tune(0, "F4 A4 F#4 A4 F#4 A4 F#4 A4");
    let why = |wanted: LeverMark| {
        let marked = edits_of_marks(&[wanted], &performance, &harp(Tuning::EFlat));
        marked.unmet.first().map(|unmet| unmet.why)
    };
    assert_eq!(why(mark(0, 1, "F#")), None);
    assert_eq!(why(mark(0, 2, "F#")), Some(UnmetMarkReason::OnItsNote));
    assert_eq!(why(mark(0, 3, "F#")), Some(UnmetMarkReason::NothingToFlip), "a reminder");
    assert_eq!(why(mark(1, 0, "Bb")), Some(UnmetMarkReason::NothingToFlip), "no B comes");
    assert_eq!(why(mark(0, 1, "Fb")), Some(UnmetMarkReason::NoSuchString), "F♭ from E♭ tuning");
    assert_eq!(why(mark(0, 1, "F#9")), Some(UnmetMarkReason::NoSuchString));
}
