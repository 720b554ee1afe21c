//! Grace notes, rolled chords and repeated notes: when hands and strings are busy with them. All at 60 quarter notes a minute, so
//! that a quarter note lasts a second; a grace takes 0.08 s and a rolled string 0.06 s (working values), before the beat and after
//! it (common practice).

use super::super::sounding::{Busy, Sounding};
use super::small_pieces::{harp, line, note, performed, planned};
use crate::harp::Tuning;
use crate::plan::{Edit, EndOfPiece, FlipName, Gesture, HandPace, PaceLevel, Plan, Refusal, Request};
use crate::score::{BarIndex, Hand, Note, NoteKind, Performance, Roll};
use crate::time::{Seconds, Tempo, TempoMap, Ticks};

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

/// Something of all plucks at 60, in seconds.
fn busy(performance: &Performance, of: impl Fn(Busy) -> Seconds) -> Vec<f64> {
    let (tempo, harp) = (TempoMap::steady(Tempo::quarters(60.0).unwrap()), harp(Tuning::EFlat));
    let pace = HandPace::from(PaceLevel::Fluent);
    let ending = EndOfPiece::Stop;
    let request = Request { performance, harp: &harp, tempo: &tempo, pace: &pace, edits: &[], ending };
    let sounding = Sounding::of(&request);
    (0..performance.plucks().len()).map(|pluck| of(sounding.busy(pluck)).get()).collect()
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
    (available_to(plan, 0), &plan.gestures[0])
}

fn available_to(plan: &Plan, gesture: usize) -> f64 {
    assert_eq!(plan.problems.iter().filter_map(|problem| problem.refused).count(), 0, "{:#?}", plan.problems);
    plan.gestures[gesture].available.unwrap().get()
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
    let begins = busy(&performance, |busy| busy.from);
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
    for (roll, ends) in [(Roll::Up, [0.0, 0.06, 0.12, 0.18]), (Roll::Down, [0.18, 0.12, 0.06, 0.0])] {
        let performance = performed(0, chord(roll), 1);
        let free = busy(&performance, |busy| busy.until);
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

/// F♯3 at the beginning and F3 at the end of two bars, played round and round at 60: the lever has to be up again when the first note
/// sounds. Plain, that leaves all of the last bar's second half, to the 32nd before its end. With a grace on the first note's string it
/// has to be up 0.08 s sooner, and a hand that plays the grace must have come back from the lever by then.
#[test]
fn a_loop_is_reset_before_the_graces_of_its_beginning() {
    let looped = |performance: &Performance, edits: &[Edit]| {
        planned(performance, &harp(Tuning::EFlat), 60.0, EndOfPiece::Loop, edits)
    };
    let plain = piece(&[&left("F#3 . . . F3 . . .")]);
    let own = piece(&[&left("F#3 . . . F3 . . ."), &graces(Hand::Left, 0, &["F#3"])]);
    let other = piece(&[&left("F#3 . . . F3 . . ."), &graces(Hand::Left, 0, &["A3"])]);
    let reset = |performance: &Performance| {
        let free = looped(performance, &[]);
        assert_eq!((free.totals.flips, free.totals.rushed, &free.start), (2, 0, &free.end));
        free.gestures[1].flips[0].name(performance)
    };
    let at = |sixteenths: i64, performance: &Performance, hand: Hand| {
        let flip = reset(performance);
        let at = Ticks::new(Ticks::PER_QUARTER / 16 * sixteenths);
        looped(performance, &[Edit::Place { flip, bar: BarIndex::new(1), at }, Edit::Hand { flip, hand }])
    };
    // A 64th of a beat before the end and a 32nd: 0.0625 s and 0.125 s.
    let is_refused = |plan: &Plan| plan.problems.iter().any(|problem| problem.refused.is_some());
    assert!(!is_refused(&at(63, &plain, Hand::Right)) && !is_refused(&at(62, &own, Hand::Right)));
    assert!(is_refused(&at(63, &own, Hand::Right)), "the grace needs the lever");
    assert!(!is_refused(&at(63, &other, Hand::Right)), "a grace on another string doesn't");
    // Half a beat before the end: half a second for the way back, less the grace.
    let (all, rest) = (at(56, &plain, Hand::Left), at(56, &own, Hand::Left));
    let (all, rest) = (available_to(&all, 1), available_to(&rest, 1));
    assert!((rest / all - 0.42 / 0.5).abs() < 1e-9, "{rest} of {all}");
}
