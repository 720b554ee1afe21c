//! What is told of bars that come by more than once; by reasoning on each string's notes.

use super::small_pieces::{harp, line, planned, played};
use crate::harp::{LeverState, StringNumber, Tuning};
use crate::plan::{Differing, Edit, EndOfPiece, FlipName, FlipPlace, Plan, RepeatDifference};
use crate::score::{BarIndex, Hand, NoteName, Performance};
use crate::time::Ticks;

/// F4 on the first beat, F♯4 in the second bar, the left hand free; so many times over.
fn up_in_the_second_bar(times: u8) -> Performance {
    played(0, &[line(Hand::Right, 1, "F4 A4 G4 A4 G4 A4 F#4 A4")], times)
}

fn string(pitch: &str) -> StringNumber {
    harp(Tuning::EFlat).string_of_letter(pitch.parse().unwrap()).unwrap().0
}

fn names(plan: &Plan, performance: &Performance) -> Vec<FlipName> {
    let flips = plan.gestures.iter().flat_map(|gesture| &gesture.flips);
    flips.map(|flip| flip.name(performance)).collect()
}

fn at_60(performance: &Performance, ending: EndOfPiece, edits: &[Edit]) -> Plan {
    planned(performance, &harp(Tuning::EFlat), 60.0, ending, edits)
}

fn place_of(plan: &Plan, performance: &Performance, gesture: usize) -> FlipPlace {
    let gesture = &plan.gestures[gesture];
    FlipPlace { at: gesture.at - performance.bars()[gesture.played_bar].starts, hand: gesture.hand }
}

/// The lever must come down again only where another time follows: after the F♯ of every time but the last.
#[test]
fn a_reset_that_the_last_time_does_without() {
    for times in [2, 3] {
        let performance = up_in_the_second_bar(times);
        let plan = at_60(&performance, EndOfPiece::Stop, &[]);
        assert_eq!(plan.totals.flips, 2 * u32::from(times) - 1);
        let reset = FlipName { needed_in: BarIndex::new(0), ..names(&plan, &performance)[1] };
        assert_eq!((reset.string, reset.to), (string("F4"), LeverState::Down));
        let what = Differing::Flip {
            string: reset.string,
            to: reset.to,
            first: Some(place_of(&plan, &performance, 1)),
            then: None,
        };
        let told = RepeatDifference { bar: BarIndex::new(1), times: vec![u32::from(times)], what };
        assert_eq!(plan.repeats, [told], "{times} times");
    }
}

/// Looped, every time is followed by another one: all are alike, and the last leaves the levers as the first finds them.
#[test]
fn a_loop_of_the_whole_piece_closes() {
    for times in [1, 2, 3] {
        let plan = at_60(&up_in_the_second_bar(times), EndOfPiece::Loop, &[]);
        assert_eq!(plan.totals.flips, 2 * u32::from(times));
        assert_eq!(plan.start, plan.end);
        assert_eq!(plan.repeats, []);
    }
}

/// Nothing is told of a piece without repeats.
#[test]
fn once_through_nothing_differs() {
    assert_eq!(at_60(&up_in_the_second_bar(1), EndOfPiece::Stop, &[]).repeats, []);
}

/// The player moves the flip of the second time to a 32nd, or gives it to the right hand: each costs more than the 2 of a
/// difference (the comfort table), so the first time stays as it is.
#[test]
fn another_place_and_another_hand_are_told() {
    let performance = up_in_the_second_bar(2);
    let free = at_60(&performance, EndOfPiece::Loop, &[]);
    let flip = names(&free, &performance)[2];
    assert_eq!((flip.to, flip.time_through), (LeverState::Up, 1), "the second time's");
    let first = place_of(&free, &performance, 0);
    assert_eq!(first, place_of(&free, &performance, 2));
    let bar = free.gestures[0].played_bar;
    let elsewhere = first.at + Ticks::new(Ticks::PER_QUARTER / 8);
    for (edit, then) in [
        (Edit::Hand { flip, hand: Hand::Right }, FlipPlace { hand: Hand::Right, ..first }),
        (Edit::Place { flip, bar: BarIndex::new(bar), at: elsewhere }, FlipPlace { at: elsewhere, ..first }),
    ] {
        let mut edits = vec![edit];
        if matches!(edit, Edit::Hand { .. }) {
            edits.push(Edit::Place { flip, bar: BarIndex::new(bar), at: first.at });
        }
        let plan = at_60(&performance, EndOfPiece::Loop, &edits);
        let what = Differing::Flip { string: flip.string, to: flip.to, first: Some(first), then: Some(then) };
        assert!(
            plan.repeats.contains(&RepeatDifference { bar: BarIndex::new(bar), times: vec![2], what }),
            "{:#?}",
            plan.repeats
        );
    }
}

/// Worked case 5 twice over: E♭5 between D5s flips the E string. Forbidden on the second time, it is played on the D string
/// then, and its lever flipped instead.
#[test]
fn another_string_is_told() {
    let performance = played(0, &[line(Hand::Right, 4, "E5 D5 Eb5 D5 E5")], 2);
    let free = at_60(&performance, EndOfPiece::Stop, &[]);
    assert_eq!(free.repeats, [], "{:#?}", free.repeats);
    let flip = *names(&free, &performance).iter().find(|name| name.time_through == 1).unwrap();
    assert_eq!((flip.string, flip.to), (string("E5"), LeverState::Down));
    let plan = at_60(&performance, EndOfPiece::Stop, &[Edit::Forbid { flip }]);
    let note = NoteName { bar: flip.needed_in, at: flip.needed_at, pitch: "Eb5".parse().unwrap() };
    let what = Differing::String { note, first: Some(string("E5")), then: Some(string("D5")) };
    assert!(plan.repeats.iter().any(|told| (told.what, &told.times[..]) == (what, &[2])), "{:#?}", plan.repeats);
    let only_then = plan.repeats.iter().filter(|told| {
        matches!(told.what, Differing::Flip { string: moved, first: None, then: Some(_), .. } if moved == string("D5"))
    });
    assert_eq!(only_then.count(), 2, "D up for the E♭ and down again: {:#?}", plan.repeats);
}
