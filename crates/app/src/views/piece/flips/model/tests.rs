use std::sync::Arc;

use super::*;
use crate::demo;
use crate::effects::{PlanOrder, make_plan, read_piece};
use crate::state::Origin;
use leverlane_core::harp::{LeverState, StringNumber};
use leverlane_core::plan::Edit;
use leverlane_core::score::{BarIndex, Hand};

fn demo_list() -> (FlipsModel, Planned) {
    demo_list_on(demo::harp().harp())
}

fn demo_list_on(harp: leverlane_core::harp::Harp) -> (FlipsModel, Planned) {
    demo_list_with(harp, Vec::new())
}

fn demo_list_with(harp: leverlane_core::harp::Harp, edits: Vec<Edit>) -> (FlipsModel, Planned) {
    let piece = Arc::new(read_piece(Origin::Demo, demo::PIECE).unwrap());
    let order = PlanOrder {
        piece: Arc::clone(&piece),
        harp,
        pace: Default::default(),
        goal: piece.performance.tempo().opening(),
        edits,
    };
    let planned = make_plan(&order);
    (FlipsModel::new(Words::default(), &piece, &planned), planned)
}

/// The demo was written with one gesture that is too tight at its tempo; it must be told in words.
#[test]
fn the_tight_gesture_is_told_where_it_is() {
    let (list, planned) = demo_list();
    assert!(list.remark.contains("too tight"), "{}", list.remark);
    let tight: Vec<_> = list.flips.iter().filter(|line| line.mark.is_rushed).collect();
    assert_eq!(tight.len(), planned.plan.totals.rushed as usize);
    assert!(tight.iter().all(|line| line.time.starts_with("! too tight: needs ")));
    let problem = list.problems.iter().find(|problem| problem.words.starts_with("too little time")).unwrap();
    assert!(list.flips[problem.flip.unwrap()].mark.is_rushed);
    assert_eq!(problem.place, list.flips[problem.flip.unwrap()].place);
}

#[test]
fn flips_and_problems_stand_in_order_of_time() {
    let (list, planned) = demo_list();
    assert_eq!(list.entries.len(), planned.plan.gestures.len() + list.problems.len() + list.repeats.len());
    let piece = read_piece(Origin::Demo, demo::PIECE).unwrap();
    let begins: Vec<ScoreTime> =
        repeats::repeat_lines(Words::default(), &piece, &planned).iter().map(|(at, _)| *at).collect();
    let at = |entry: &Entry| match *entry {
        Entry::Flip(index) => planned.plan.gestures[index].at,
        Entry::Problem(index) => planned.plan.problems[index].at,
        Entry::Repeat(index) => begins[index],
    };
    assert!(list.entries.is_sorted_by_key(at));
}

/// A harp of 19 strings ends at C4 (common practice); the demo's left hand goes far below it.
#[test]
fn many_notes_off_the_harp_are_told_once() {
    let preset = leverlane_core::harp::Preset::with_strings(19).unwrap();
    let (list, planned) = demo_list_on(preset.tuned(leverlane_core::harp::Tuning::C));
    let off = planned.plan.problems.iter().filter(|problem| problem.kind == ProblemKind::OffTheHarp).count();
    assert!(off > 3);
    let told: Vec<_> = list.problems.iter().filter(|problem| problem.words.contains("outside this harp")).collect();
    assert_eq!(told.len(), 1);
    assert!(told[0].words.contains(&format!("{off} places")), "{}", told[0].words);
}

/// The demo repeats both its halves; what README shows of its plan as JSON stands in the window too, at the second time through bar 1.
#[test]
fn what_differs_on_a_repeat_is_told_where_it_comes() {
    let (list, planned) = demo_list();
    assert!(!list.repeats.is_empty());
    let told: usize = list.repeats.iter().map(|repeat| repeat.told.len()).sum();
    assert_eq!(told, planned.plan.repeats.len());
    let first = &list.repeats[0];
    assert!(first.place.starts_with("bar ") && first.place.contains("2nd time"), "{}", first.place);
    assert!(first.told[0].contains("the first time"), "{:?}", first.told);
    let entry = list.entries.iter().position(|entry| *entry == Entry::Repeat(0)).unwrap();
    assert!(entry > 0, "the first time through comes before it");
}

#[test]
fn how_good_the_plan_is_stands_in_the_list() {
    let (list, planned) = demo_list();
    let expected = match planned.plan.proof {
        Proof::BestPossible => "Best possible",
        Proof::Within(Gap { rushed, .. }) if rushed > 0 => "At best",
        Proof::Within(Gap { work, .. }) if work > 0 => "Within",
        Proof::Within(_) => "Best possible but for comfort",
    };
    assert!(list.proof.starts_with(expected), "{}", list.proof);
}

/// A lock on a bar that the piece doesn't have, and a lever on a string that the harp doesn't have: each with its reason, and the
/// wish can be taken back.
#[test]
fn wishes_that_cannot_be_met_say_why() {
    let (_, free) = demo_list();
    let piece = read_piece(Origin::Demo, demo::PIECE).unwrap();
    let flip = free.plan.gestures[0].flips[0].name(&piece.performance);
    let lost = Edit::Place { flip, bar: BarIndex::new(900), at: leverlane_core::time::Ticks::ZERO };
    let far = Edit::Preset { string: StringNumber::new(60).unwrap(), state: LeverState::Up };
    let gone = leverlane_core::plan::FlipName { needed_in: BarIndex::new(900), ..flip };
    let edits = vec![lost, far, Edit::Hand { flip: gone, hand: Hand::Right }];
    let (list, planned) = demo_list_with(demo::harp().harp(), edits);
    for reason in ["the piece has no such bar any more", "this harp has no such string"] {
        let told = list.problems.iter().find(|problem| problem.words.ends_with(reason)).unwrap();
        assert!(told.words.starts_with("You asked: "), "{}", told.words);
        assert!(told.ways_out.iter().any(|way| way.words.starts_with("Take back")), "{:?}", told.ways_out);
    }
    assert_eq!(planned.plan.gestures, free.plan.gestures, "the rest is planned as before");
}
