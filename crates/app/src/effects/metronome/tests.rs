use leverlane_core::time::Tempo;

use super::*;
use crate::apply::make_loop;
use crate::effects::{PlanOrder, make_plan, read_piece};
use crate::state::Origin;
use crate::{demo, state::Piece};

fn quarters(count: i64) -> Ticks {
    Ticks::QUARTER * count
}

fn timeline(per_minute: f64) -> Timeline {
    Timeline {
        count_in: Vec::new(),
        count_in_length: quarters(4),
        events: Vec::new(),
        length: quarters(8),
        tempo: leverlane_core::time::TempoMap::steady(Tempo::quarters(per_minute).unwrap()),
    }
}

/// Arithmetic: at 60 a quarter lasts a second; four are counted in, a pass has eight.
#[test]
fn a_loop_is_where_its_clock_says() {
    let timeline = timeline(60.0);
    let place = |seconds| place_after(&timeline, Seconds::new(seconds));
    assert_eq!(place(0.0), PassPlace { pass: 0, at: -quarters(4) });
    assert!(place(3.999).is_count_in());
    assert_eq!(place(4.0), PassPlace { pass: 0, at: Ticks::ZERO });
    assert_eq!(place(9.0), PassPlace { pass: 0, at: quarters(5) });
    assert_eq!(place(12.0), PassPlace { pass: 1, at: Ticks::ZERO });
    assert_eq!(place(29.0), PassPlace { pass: 3, at: quarters(1) });
}

fn demo_loop(per_minute: f64) -> Arc<Loop> {
    let piece: Arc<Piece> = Arc::new(read_piece(Origin::Demo, demo::PIECE).unwrap());
    let tempo = Tempo::quarters(per_minute).unwrap();
    let order = PlanOrder {
        piece: Arc::clone(&piece),
        harp: demo::harp().harp(),
        pace: Default::default(),
        goal: tempo,
        edits: Vec::new(),
    };
    let planned = make_plan(&order);
    Arc::new(make_loop(&piece, &planned, Some(0), Default::default(), tempo, Default::default()).unwrap())
}

/// A new tempo takes over exactly at the seam: half a pass at double tempo later half a pass is done.
#[test]
fn another_tempo_takes_over_at_the_seam() {
    let (slow, fast) = (demo_loop(60.0), demo_loop(120.0));
    let began = Instant::now();
    let mut metronome = Metronome::start(Arc::clone(&slow), began);
    let pass = slow.timeline.length.quarters();
    let first_seam = slow.timeline.count_in_length.quarters() + pass;
    metronome.next_pass(fast);
    let mut at = |seconds: f64| metronome.place(began + Duration::from_secs_f64(seconds));
    assert_eq!(at(first_seam - 0.5).pass, 0);
    let half = at(first_seam + pass / 4.0);
    assert_eq!(half.pass, 1);
    assert!((half.at.quarters() - pass / 2.0).abs() < 1e-3);
    assert_eq!(at(first_seam + pass / 2.0 + 0.01).pass, 2);
}
