//! Glissandi: every string crossed must stand in its state, and on its own letter. Which letters are crossed at which pitches is
//! arithmetic on the key signature; what state that asks for, on the tuning.

use super::small_pieces::{harp, line, note, performed, planned, starts};
use crate::harp::{Harp, LeverState, Tuning};
use crate::pitch::{Letter, SpelledPitch};
use crate::plan::{EndOfPiece, Plan, ProblemKind};
use crate::score::{Hand, Note, Performance, Stroke};
use crate::time::Ticks;

/// The left hand's notes, a quarter each, and a glissando of the right hand on the fifth beat, a half note long.
fn glissando(fifths: i8, left: &str, from: &str, to: &str) -> Performance {
    let pitch = |text: &str| text.parse::<SpelledPitch>().unwrap();
    let begins = Note {
        glissando_to: Some(pitch(to)),
        ..note((Hand::Right, Ticks::QUARTER * 4, Ticks::QUARTER * 2, pitch(from)))
    };
    let ends = note((Hand::Right, Ticks::QUARTER * 6, Ticks::QUARTER, pitch(to)));
    let notes = line(Hand::Left, 1, left).into_iter().map(note).chain([begins, ends]);
    performed(fifths, notes.collect(), 1)
}

fn at_60(performance: &Performance, harp: &Harp) -> Plan {
    planned(performance, harp, 60.0, EndOfPiece::Stop, &[])
}

/// What the swept strings are and how they stand when they are crossed: `F4 up`.
fn crossed(plan: &Plan, performance: &Performance, harp: &Harp) -> String {
    let swept = performance.plucks().iter().zip(&plan.strings).filter(|(pluck, _)| pluck.stroke == Stroke::Swept);
    let said = swept.map(|(pluck, way)| {
        let (string, state) = way.unwrap();
        assert_eq!(plan.setting_at(pluck.at).of(string), state, "{} at {}", pluck.pitch, pluck.at);
        let open = harp.string(string).unwrap().open;
        format!("{}{} {state}", open.letter(), open.octave())
    });
    said.collect::<Vec<_>>().join(", ")
}

/// From C4 to C5 in G major on a harp in E♭: D and G stand open, E♭, A♭ and B♭ are raised to the natural, F is raised to F♯. Nothing
/// else is asked of them, so all is set before the start.
#[test]
fn every_string_crossed_has_its_state() {
    let harp = harp(Tuning::EFlat);
    let performance = glissando(1, "C3", "C4", "C5");
    let plan = at_60(&performance, &harp);
    assert_eq!(crossed(&plan, &performance, &harp), "D4 down, E4 up, F4 up, G4 down, A4 up, B4 up");
    assert_eq!((plan.totals.flips, plan.totals.unplayable), (0, 0));
    assert_eq!(starts(&plan, &harp, "F4 F5"), "F4 up, F5 up", "F5 as the key has it");
}

/// With F4 natural a bar before, its lever goes up between that note and the moment the glissando crosses it: the third of six
/// strings, three sevenths of two beats after the fifth beat, to a 480th.
#[test]
fn a_lever_is_flipped_for_a_glissando() {
    let harp = harp(Tuning::EFlat);
    let performance = glissando(1, "F4 C3", "C4", "C5");
    let plan = at_60(&performance, &harp);
    assert_eq!(crossed(&plan, &performance, &harp), "D4 down, E4 up, F4 up, G4 down, A4 up, B4 up");
    let [gesture] = &plan.gestures[..] else { panic!("one flip: {:#?}", plan.gestures) };
    let window = gesture.flips[0].window;
    assert_eq!(window.after.map(|after| after.since_start()), Some(Ticks::ZERO));
    let before = window.before.since_start().quarters();
    assert!((before - (4.0 + 2.0 * 3.0 / 7.0)).abs() < 1.0 / 480.0, "{before}");
    assert!(gesture.at > window.after.unwrap() && gesture.at < window.before);
}

/// A plucked G♯4 on a harp in E♭ may be played on the open A♭4 string where the G string has no lever; a swept one may not: the hand
/// goes over the G string too, which sounds G.
#[test]
fn no_other_string_does_for_a_swept_one() {
    let without_g: Vec<Letter> = Letter::ALL.into_iter().filter(|&letter| letter != Letter::G).collect();
    let harp = harp(Tuning::EFlat).with_levers_on(&without_g);
    let plucked = at_60(&performed(4, line(Hand::Right, 1, "G#4 A4").into_iter().map(note).collect(), 1), &harp);
    assert_eq!((plucked.totals.unplayable, plucked.totals.respelled), (0, 1));
    let swept = at_60(&glissando(4, "E3", "E4", "B4"), &harp);
    assert_eq!(swept.totals.unplayable, 1);
    assert_eq!(swept.problems[0].kind, ProblemKind::NoLever);
}

/// A string that the left hand needs the other way a quarter of a beat after it was crossed: the flip has to lie between.
#[test]
fn a_string_just_crossed() {
    let harp = harp(Tuning::EFlat);
    let mut performance = glissando(0, "C3 . . . . . . F#4", "C4", "C5");
    let plan = at_60(&performance, &harp);
    let states: Vec<LeverState> = plan.gestures.iter().flat_map(|gesture| &gesture.flips).map(|flip| flip.to).collect();
    assert_eq!(states, [LeverState::Up]);
    let crossing = performance.plucks().iter().find(|pluck| pluck.pitch.ascii() == "F4").unwrap().at;
    assert_eq!(plan.gestures[0].flips[0].window.after, Some(crossing));
    // Without its first note nothing is swept, and F♯ can be set beforehand.
    let name = (0..performance.plucks().len()).find(|&pluck| performance.plucks()[pluck].pitch.ascii() == "C4");
    let note = performance.note_name(name.unwrap()).unwrap();
    performance = performance.rewritten(&[crate::score::Rewrite::Drop { note }]).performance;
    assert_eq!(at_60(&performance, &harp).totals.flips, 0);
}
