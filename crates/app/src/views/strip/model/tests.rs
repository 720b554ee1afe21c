use std::sync::Arc;

use leverlane_core::drill::ChunkSize;

use super::*;
use crate::apply::make_loop;
use crate::demo;
use crate::effects::{PlanOrder, make_plan, read_piece};
use crate::state::Origin;

/// The strips of every flip of the demo, and of the whole piece.
fn demo_strips() -> Vec<StripModel> {
    let piece = Arc::new(read_piece(Origin::Demo, demo::PIECE).unwrap());
    let tempo = piece.performance.tempo().opening();
    let order = PlanOrder {
        piece: Arc::clone(&piece),
        harp: demo::harp().harp(),
        pace: Default::default(),
        goal: tempo,
        edits: Vec::new(),
    };
    let planned = make_plan(&order);
    let strip = |flip, size| {
        let looped = make_loop(&piece, &planned, flip, size, tempo, Default::default()).unwrap();
        StripModel::new(Words::default(), &piece, &planned, &looped)
    };
    let mut strips: Vec<_> =
        (0..planned.plan.gestures.len()).map(|flip| strip(Some(flip), ChunkSize::BarEachSide)).collect();
    strips.push(strip(None, ChunkSize::WholePiece));
    strips
}

/// Where the end leaves levers otherwise than the start, resets stand at the seam. So every pass ends as it
/// began, and each flip changes its string's line.
#[test]
fn lines_step_at_their_flips_and_come_back_at_the_seam() {
    for strip in demo_strips() {
        for lane in &strip.lanes {
            let first = lane.levels.first().unwrap();
            assert_eq!(first.1, lane.levels.last().unwrap().1, "{} ends as it began", lane.name);
            for pair in lane.levels.windows(2) {
                assert!(pair[0].0 <= pair[1].0 && pair[0].1 != pair[1].1, "{}: {pair:?}", lane.name);
                assert_eq!(lane.level_at(pair[1].0), pair[1].1);
            }
        }
        let steps: usize = strip.lanes.iter().map(|lane| lane.levels.len() - 1).sum();
        assert_eq!(steps, strip.flips.iter().map(|flip| flip.lanes.len()).sum::<usize>());
    }
}

/// The demo can be played on its harp, so every pluck has its string; clicks begin each bar at 1.
#[test]
fn everything_has_its_place() {
    for strip in demo_strips() {
        assert!(strip.plucks.iter().all(|dot| dot.lane.is_some() && dot.until > dot.at));
        assert!(strip.flips.iter().all(|flip| flip.at >= Ticks::ZERO && flip.at < strip.length));
        for (at, number) in strip.bars.iter().filter(|(at, number)| *at > Ticks::ZERO && !number.is_empty()) {
            let click = strip.clicks.iter().find(|click| click.at == *at).unwrap();
            assert_eq!((click.count, click.accent), (1, Accent::Bar), "bar {number}");
        }
        assert!(strip.count_in.iter().all(|click| click.at < Ticks::ZERO));
    }
}

#[test]
fn the_next_flip_is_found_over_the_seam() {
    let strips = demo_strips();
    let strip = strips.last().unwrap();
    let last = strip.flips.len() - 1;
    assert_eq!(strip.next_flip(Ticks::ZERO - Ticks::QUARTER), Some(0));
    assert_eq!(strip.next_flip(strip.flips[last].at), Some(last));
    assert_eq!(strip.next_flip(strip.flips[last].at + Ticks::new(1)), Some(0));
}
