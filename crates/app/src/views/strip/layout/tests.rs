use eframe::egui::{Rect, pos2};
use leverlane_core::time::Ticks;

use super::*;

fn model(quarters: i64) -> StripModel {
    StripModel {
        length: Ticks::QUARTER * quarters,
        music: Ticks::QUARTER * quarters,
        bars: Vec::new(),
        clicks: Vec::new(),
        count_in: Vec::new(),
        lanes: Vec::new(),
        plucks: Vec::new(),
        flips: Vec::new(),
    }
}

fn whole() -> Rect {
    Rect::from_min_max(pos2(0.0, 0.0), pos2(900.0, 400.0))
}

/// Arithmetic: the present stands on its line, a quarter later one width to the right, the same place a round later a
/// whole pass to the right.
#[test]
fn time_is_laid_out_evenly_from_the_present() {
    let model = model(6);
    let now = Ticks::QUARTER * 2;
    let layout = Layout::new(whole(), &model, now, Rounds::After);
    let x = |at, round| layout.x(at, model.length, round);
    assert_eq!(x(now, 0), layout.present);
    assert!((x(now + Ticks::QUARTER, 0) - layout.present - QUARTER_WIDTH).abs() < 1e-3);
    assert!((x(now, 1) - layout.present - 6.0 * QUARTER_WIDTH).abs() < 1e-3);
    assert!((x(now, -1) - layout.present + 6.0 * QUARTER_WIDTH).abs() < 1e-3);
}

#[test]
fn rounds_reach_to_the_right_edge_and_back_only_where_something_was() {
    let model = model(3);
    let rounds = |around| Layout::new(whole(), &model, Ticks::ZERO, around).rounds(model.length);
    assert_eq!(*rounds(Rounds::After).start(), 0);
    assert_eq!(*rounds(Rounds::BeforeAndAfter).start(), -1);
    let layout = Layout::new(whole(), &model, Ticks::ZERO, Rounds::After);
    let last = *rounds(Rounds::After).end();
    assert!(layout.x(Ticks::ZERO, model.length, last) <= 900.0);
    assert!(layout.x(Ticks::ZERO, model.length, last + 1) > 900.0);
}

#[test]
fn a_raised_string_stands_higher_but_below_its_neighbour() {
    let mut model = model(3);
    let lane = super::super::model::Lane {
        string: leverlane_core::harp::StringNumber::new(1).unwrap(),
        name: "C4".to_owned(),
        letter: leverlane_core::pitch::Letter::C,
        levels: vec![(Ticks::ZERO, LeverState::Down)],
    };
    model.lanes = vec![lane; 20];
    let layout = Layout::new(whole(), &model, Ticks::ZERO, Rounds::After);
    assert!(layout.height(1, LeverState::Up) < layout.height(1, LeverState::Down));
    assert!(layout.height(1, LeverState::Up) > layout.height(0, LeverState::Down));
}
