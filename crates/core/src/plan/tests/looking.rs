//! Where the eyes are around a flip, worked by hand at 60 quarter notes a minute: a beat is a second.

use super::small_pieces::{harp, line, piece, planned};
use crate::harp::Tuning;
use crate::plan::{EndOfPiece, HandPace, LookTime, PaceLevel, Request, look_times};
use crate::score::Hand::{Left, Right};
use crate::score::Performance;
use crate::time::{Tempo, TempoMap};

fn looks(performance: &Performance) -> (Vec<LookTime>, f64) {
    let harp = harp(Tuning::EFlat);
    let plan = planned(performance, &harp, 60.0, EndOfPiece::Stop, &[]);
    let tempo = TempoMap::steady(Tempo::quarters(60.0).unwrap());
    let pace = HandPace::from(PaceLevel::Fluent);
    let request =
        Request { performance, harp: &harp, tempo: &tempo, pace: &pace, edits: &[], ending: EndOfPiece::Stop };
    (look_times(&request, &plan), plan.gestures[0].at.since_start().quarters())
}

/// The left hand has nothing to play: the eyes leave with it and must only be back for a leap of the right hand, 0.15 s
/// before it. Between, the right hand plays by steps and by feel.
#[test]
fn eyes_are_back_for_a_leap() {
    let (looks, flip) = looks(&piece(0, &[line(Right, 1, "F4 G4 A4 G4 F#4 G4 A4 E6")]));
    assert_eq!(looks.len(), 1);
    let look = &looks[0];
    assert!(look.to_lever.get() < -0.2 && look.to_lever.get() > -1.0, "out takes some tenths: {look:?}");
    // E6 sounds on the eighth beat, seven seconds after the start, and lies far from A4.
    let back = look.to_strings.unwrap().get() + flip;
    assert!((back - (7.0 - 0.15)).abs() < 1e-9, "{look:?}");
    assert!(look.leaps_by_feel.is_empty());
    let at = look.to_lever_at.since_start().quarters();
    assert!((at - (flip + look.to_lever.get())).abs() < 1e-4);
}

/// Every note of the right hand is a leap: what falls between look and flip has to be leapt to by feel or is waited for.
#[test]
fn a_leap_keeps_the_eyes_or_is_played_by_feel() {
    let (looks, flip) = looks(&piece(0, &[line(Right, 1, "F4 C6 G4 C6 F#4 C6"), line(Left, 4, "C3 C3")]));
    let look = &looks[0];
    let lever = flip + look.to_lever.get();
    let strings = flip + look.to_strings.unwrap().get();
    assert!(lever <= flip && strings >= flip);
    // Right-hand notes fall on whole seconds: whichever lies strictly between the two is named.
    let between = (0..6).filter(|&second| f64::from(second) > lever && f64::from(second) < strings).count();
    assert_eq!(look.by_feel.len(), between, "{look:?} {flip}");
    assert_eq!(look.leaps_by_feel.len(), look.by_feel.len());
}

/// Nothing follows the flip but its own note in the hand that is free: at the end of the piece nobody waits for the eyes.
#[test]
fn nothing_to_come_back_for() {
    let (looks, _) = looks(&piece(0, &[line(Right, 1, "F4 G4 A4 G4 F#4")]));
    assert_eq!(looks[0].to_strings, None);
    assert!(looks[0].leaps_by_feel.is_empty());
}
