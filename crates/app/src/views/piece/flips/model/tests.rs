use std::sync::Arc;

use super::*;
use crate::demo;
use crate::effects::{PlanOrder, make_plan, read_piece};
use crate::state::Origin;

fn demo_list() -> (FlipsModel, Planned) {
    demo_list_on(demo::harp().harp())
}

fn demo_list_on(harp: leverlane_core::harp::Harp) -> (FlipsModel, Planned) {
    let piece = Arc::new(read_piece(Origin::Demo, demo::PIECE).unwrap());
    let order = PlanOrder {
        piece: Arc::clone(&piece),
        harp,
        pace: Default::default(),
        goal: piece.performance.tempo().opening(),
        edits: Vec::new(),
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
    assert_eq!(list.entries.len(), planned.plan.gestures.len() + list.problems.len());
    let at = |entry: &Entry| match *entry {
        Entry::Flip(index) => planned.plan.gestures[index].at,
        Entry::Problem(index) => planned.plan.problems[index].at,
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
