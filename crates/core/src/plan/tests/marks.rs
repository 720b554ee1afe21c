//! Marks as a player would write them by hand (common practice: letter and accidental where the lever moves).

use super::small_pieces::{harp, line, piece, planned, played, slowly, tune};
use crate::harp::{Harp, Tuning};
use crate::plan::{EndOfPiece, StartList, flip_marks};
use crate::score::Hand::{Left, Right};
use crate::score::Performance;

fn marks(performance: &Performance, harp: &Harp, ending: EndOfPiece) -> String {
    let plan = planned(performance, harp, 20.0, ending, &[]);
    let said = flip_marks(&plan, performance, harp).into_iter().map(|mark| format!("{} {}", mark.bar.get(), mark.text));
    said.collect::<Vec<_>>().join(", ")
}

/// Only one F string is used, so the letter says enough; with two it needs its octave.
#[test]
fn the_octave_stands_where_it_is_needed() {
    let harp = harp(Tuning::EFlat);
    assert_eq!(marks(&tune(0, "F4 F4 F#4 F#4 F4"), &harp, EndOfPiece::Stop), "0 F♯, 0 F♮");
    assert_eq!(marks(&tune(0, "F4 F5 F#4 F#4 F4"), &harp, EndOfPiece::Stop), "0 F♯4, 0 F♮4");
    // B♭ is the open string of this tuning.
    assert_eq!(marks(&tune(0, "B4 A4 Bb4 A4"), &harp, EndOfPiece::Stop), "0 B♭");
}

/// G4 up before its second note, and down again only for the repeat: one mark for both times through, one for one.
#[test]
fn a_repeat_says_which_time() {
    let harp = harp(Tuning::C);
    let twice = played(0, &[line(Right, 1, "G4 A4 B4 A4 G#4 A4 B4 A4")], 2);
    let text = marks(&twice, &harp, EndOfPiece::Stop);
    assert_eq!(text.matches("G♯").count(), 1, "{text}");
    assert!(!text.contains("G♯ ("), "the same both times: {text}");
    // The last bar is played twice, and the lever comes back only after the first time.
    assert!(text.contains("G♮ (1st time)") || text.contains("G♮ (2nd time)"), "{text}");
}

#[test]
fn the_list_of_set_levers() {
    let harp = harp(Tuning::EFlat);
    let list = |performance: &Performance| StartList::of(&slowly(performance, &harp), &harp).to_string();
    // C major on a harp in E♭: A, B and E are raised (facts: the table of keys).
    assert_eq!(list(&tune(0, "C4 E4 G4 A4 B4")), "Levers up: E♮, A♮, B♮");
    assert_eq!(list(&tune(-3, "C4 Eb4 G4")), "All levers down");
    // F♯ in one octave, F♮ in another: one string of its letter.
    assert_eq!(list(&tune(-3, "F#4 F5")), "Levers up: F♯4");
    // An A♭4 amid A naturals: the open string of this tuning.
    let mixed = piece(0, &[line(Right, 1, "A5 Ab4"), line(Left, 1, "C3 D3")]);
    assert_eq!(list(&mixed), "Levers up: E♮, A♮ but not A♭4, B♮");
}
