//! Grace notes, rolled chords and repeated notes: when hands and strings are busy with them. All at 60 quarter notes a minute, so
//! that a quarter note lasts a second; a grace takes 0.08 s and a rolled string 0.06 s (working values), before the beat and after
//! it (common practice).

use super::super::sounding::Sounding;
use super::small_pieces::{harp, line, note, performed, planned};
use crate::harp::Tuning;
use crate::plan::{Edit, EndOfPiece, FlipName, Gesture, Plan, Refusal};
use crate::score::{BarIndex, Hand, Note, NoteKind, Performance, Roll};
use crate::time::{Tempo, TempoMap, Ticks};

/// Notes of the left hand, a quarter each.
fn left(text: &str) -> Vec<Note> {
    line(Hand::Left, 1, text).into_iter().map(note).collect()
}

/// Graces before a beat counted from 0, in their order.
fn graces(hand: Hand, quarter: i64, pitches: &[&str]) -> Vec<Note> {
    let grace = |(order, pitch): (u8, &&str)| Note {
        kind: NoteKind::Grace(order),
        ..note((hand, Ticks::QUARTER * quarter, Ticks::ZERO, pitch.parse().unwrap()))
    };
    (0..).zip(pitches).map(grace).collect()
}

fn rolled(notes: Vec<Note>, roll: Roll) -> Vec<Note> {
    notes.into_iter().map(|note| Note { roll: Some(roll), ..note }).collect()
}

fn piece(notes: &[&[Note]]) -> Performance {
    performed(0, notes.concat(), 1)
}

fn at_60(performance: &Performance, edits: &[Edit]) -> Plan {
    planned(performance, &harp(Tuning::EFlat), 60.0, EndOfPiece::Stop, edits)
}

/// The only flip of a piece, made so many 16ths of a quarter after the start with a hand.
fn flipped(performance: &Performance, sixteenths: i64, hand: Hand) -> Plan {
    let free = at_60(performance, &[]);
    let flip = only_flip(&free, performance);
    let at = Ticks::new(Ticks::PER_QUARTER / 16 * sixteenths);
    at_60(performance, &[Edit::Place { flip, bar: BarIndex::new(0), at }, Edit::Hand { flip, hand }])
}

fn only_flip(plan: &Plan, performance: &Performance) -> FlipName {
    let flips: Vec<_> = plan.gestures.iter().flat_map(|gesture| &gesture.flips).collect();
    assert_eq!(flips.len(), 1, "{:#?}", plan.gestures);
    flips[0].name(performance)
}

/// Seconds from the last pluck before the flip, or to the next after it, whichever is tighter against what it needs.
fn available(plan: &Plan) -> (f64, &Gesture) {
    assert_eq!(plan.problems.iter().filter_map(|problem| problem.refused).count(), 0, "{:#?}", plan.problems);
    let gesture = &plan.gestures[0];
    (gesture.available.unwrap().get(), gesture)
}

/// F3, then F♯3 two seconds later, the flip after a second and a half: half a second is left for the way back, less 0.08 s for
/// each grace. The graces are on the main note's own string, so the way is the same.
#[test]
fn graces_take_their_time_from_the_hand() {
    let plain = flipped(&piece(&[&left("F3 . F#3")]), 24, Hand::Left);
    let (all, gesture) = available(&plain);
    let needed = gesture.needed;
    for (pitches, left_over) in [(&["F#3"][..], 0.42), (&["F#3", "F#3"], 0.34)] {
        let graced = flipped(&piece(&[&left("F3 . F#3"), &graces(Hand::Left, 2, pitches)]), 24, Hand::Left);
        let (rest, gesture) = available(&graced);
        assert_eq!(gesture.needed, needed);
        assert!((rest / all - left_over / 0.5).abs() < 1e-9, "{rest} of {all}");
    }
}

/// A sixteenth before the beat lies after the grace, which sounds 0.08 s before it: the hand that plays the grace has no time
/// at all there, and the grace's own lever must stand by then, whichever hand moves it.
#[test]
fn no_flip_between_a_grace_and_its_note() {
    let before_its_note = 32 - 1;
    let other_string = piece(&[&left("F3 . F#3"), &graces(Hand::Left, 2, &["A3"])]);
    let plan = flipped(&other_string, before_its_note, Hand::Left);
    assert_eq!((available(&plan).0, plan.totals.rushed), (0.0, 1));
    let plan = flipped(&other_string, before_its_note, Hand::Right);
    assert_eq!((plan.problems.len(), plan.totals.rushed), (0, 0), "the other hand may");

    let own_string = piece(&[&left("F3 . F#3"), &graces(Hand::Left, 2, &["F#3"])]);
    for hand in Hand::BOTH {
        let plan = flipped(&own_string, before_its_note, hand);
        let refused = plan.problems.iter().find_map(|problem| problem.refused).unwrap();
        assert!(matches!(refused.reason, Refusal::OutsideTheWindow(_)), "{refused:?}");
        // An eighth before the beat is early enough.
        let plan = flipped(&own_string, before_its_note - 1, hand);
        assert!(plan.problems.iter().all(|problem| problem.refused.is_none()), "{:#?}", plan.problems);
    }
}

/// A grace of one state and its main note of the other: one string can't do both at one beat.
#[test]
fn a_grace_and_its_note_on_one_string() {
    let performance = piece(&[&left("A3 A3 F#3"), &graces(Hand::Left, 2, &["F3"])]);
    let plan = at_60(&performance, &[]);
    assert_eq!((plan.totals.flips, plan.totals.unplayable), (0, 1));
}

/// Where the note before is near, graces hurry: two of them share a third of the quarter second after the last sixteenth.
#[test]
fn graces_hurry_where_the_music_does() {
    let sixteenths = |index: i64, pitch: &str| {
        let quarter = Ticks::new(Ticks::PER_QUARTER / 4);
        note((Hand::Right, quarter * index, quarter, pitch.parse().unwrap()))
    };
    let notes = [sixteenths(0, "C5"), sixteenths(4, "D5"), sixteenths(7, "E5"), sixteenths(8, "F5")];
    let performance = piece(&[&notes, &graces(Hand::Right, 1, &["E5"]), &graces(Hand::Right, 2, &["G5", "A5"])]);
    let tempo = TempoMap::steady(Tempo::quarters(60.0).unwrap());
    let sounding = Sounding::of(&performance, &tempo);
    let begins: Vec<f64> = (0..performance.plucks().len()).map(|pluck| sounding.busy(pluck).from.get()).collect();
    let third = 0.25 / 3.0;
    let expected = [0.0, 1.0 - 0.08, 1.0, 1.75, 2.0 - third, 2.0 - third / 2.0, 2.0];
    assert!(begins.iter().zip(expected).all(|(begins, expected)| (begins - expected).abs() < 1e-9), "{begins:?}");
    assert_eq!(begins.len(), expected.len());
}

/// Four strings rolled from the lowest, two in each hand: the last sounds 0.18 s after the beat, and only then may its lever
/// move; the left hand is free after 0.06 s. Rolled downward the highest is first.
#[test]
fn a_roll_keeps_hand_and_string() {
    let chord = |roll| {
        let low = line(Hand::Left, 1, "C3+G3");
        let high = line(Hand::Right, 1, "E4+F4 . . F#4");
        rolled(low.into_iter().chain(high).map(note).collect(), roll)
    };
    let tempo = TempoMap::steady(Tempo::quarters(60.0).unwrap());
    for (roll, ends) in [(Roll::Up, [0.0, 0.06, 0.12, 0.18]), (Roll::Down, [0.18, 0.12, 0.06, 0.0])] {
        let performance = performed(0, chord(roll), 1);
        let sounding = Sounding::of(&performance, &tempo);
        let free: Vec<f64> = (0..4).map(|pluck| sounding.busy(pluck).until.get()).collect();
        assert!(free.iter().zip(ends).all(|(free, ends)| (free - ends).abs() < 1e-9), "{roll:?}: {free:?}");
    }
    // F4 is the last of the roll upward: an eighth of a second is too soon, a quarter is not.
    let performance = performed(0, chord(Roll::Up), 1);
    let refused = |plan: &Plan| plan.problems.iter().any(|problem| problem.refused.is_some());
    assert!(refused(&flipped(&performance, 2, Hand::Left)));
    assert!(!refused(&flipped(&performance, 4, Hand::Left)));
    // Rolled downward it is the first.
    assert!(!refused(&flipped(&performed(0, chord(Roll::Down), 1), 2, Hand::Left)));
}

/// A string plucked again: the flip's window begins with the last of the equal notes, and a finger has to be placed again on
/// the very string it left. By hand: the lever of F3 is half its string's length above the plucking place, 300 mm at C4 and doubling
/// every 15 semitones downward, 300 · 2^(7/15) = 414.6 mm; by Fitts' law that is log2(2 · 414.6 / 13) / log2(2 · 350 / 13) =
/// 1.0425 of the nominal way's difficulty, and so 0.14 + 0.86 · 1.0425 = 1.0365 of its time: 0.2 + 0.5 · 1.0365 s out and
/// 0.35 · 1.0365 + 0.15 s back.
#[test]
fn a_repeated_note_is_placed_anew() {
    let performance = piece(&[&left("F3 F3 F3 . . F#3")]);
    let free = at_60(&performance, &[]);
    let flip = only_flip(&free, &performance);
    let window = free.gestures[0].flips[0].window;
    assert_eq!(window.after.map(|after| after.since_start()), Some(Ticks::QUARTER * 2));
    let plan = at_60(&performance, &[Edit::Hand { flip, hand: Hand::Left }]);
    let needed = plan.gestures[0].needed.get();
    let by_hand = 0.2 + 0.5 * 1.0365 + 0.35 * 1.0365 + 0.15;
    assert!((needed - by_hand).abs() < 1e-3, "{needed} against {by_hand}");
}
