//! Ways out: everything that is offered has been tried, and gives what it promised.

use proptest::prelude::*;

use super::small_pieces::{Sounding, harp, played};
use crate::harp::{Harp, Tuning};
use crate::plan::{Change, Edit, EndOfPiece, HandPace, PaceLevel, ProblemKind, Request, plan, plan_with_ways_out};
use crate::score::{BarIndex, Hand, Performance, Rewrite};
use crate::time::{Tempo, TempoMap, Ticks};

/// Two hands in even notes with some accidentals, on the usual harp, in a tuning and at a tempo that may not suit.
fn troubled() -> impl Strategy<Value = (Performance, Harp, f64)> {
    let note = (0i64..24, 0u8..30, 1i64..4);
    let hand = |hand: Hand, lowest: u8| {
        prop::collection::vec(note.clone(), 4..14).prop_map(move |notes| -> Vec<Sounding> {
            let half = Ticks::new(Ticks::PER_QUARTER / 2);
            let sharp = ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"];
            let pitch = |midi: u8| format!("{}{}", sharp[usize::from(midi % 12)], midi / 12 - 1).parse().unwrap();
            notes
                .into_iter()
                .map(|(at, above, length)| (hand, half * at, half * length, pitch(lowest + above)))
                .collect()
        })
    };
    let tuning = prop::sample::select(Tuning::ALL.to_vec());
    (hand(Hand::Right, 62), hand(Hand::Left, 38), tuning, 40.0..140.0f64)
        .prop_map(|(right, left, tuning, bpm)| (played(0, &[right, left], 1), harp(tuning), bpm.round()))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, ..ProptestConfig::default() })]

    #[test]
    fn every_way_out_gives_what_it_promised((performance, harp, bpm) in troubled()) {
        let tempo = TempoMap::steady(Tempo::quarters(bpm).unwrap());
        let pace = HandPace::from(PaceLevel::Fluent);
        let ending = EndOfPiece::Stop;
        let request = Request { performance: &performance, harp: &harp, tempo: &tempo, pace: &pace, edits: &[], ending };
        let found = plan_with_ways_out(&request);
        for problem in &found.problems {
            for way in &problem.ways_out {
                let changed = way.change.applied(&request).unwrap();
                let after = plan(&changed.request());
                prop_assert_eq!(after.totals, way.totals, "{:?}", way.change);
                prop_assert!(after.totals.unplayable <= found.totals.unplayable);
                prop_assert!(after.totals.rushed <= found.totals.rushed);
                let gone = !after.problems.iter().any(|other| (other.kind, other.at) == (problem.kind, problem.at));
                prop_assert!(gone, "{:?} leaves {:?}", way.change, problem);
            }
        }
    }
}

/// D4, E♭4 and E4 together in C tuning: three notes on two strings (worked case 6). The left hand's E♭ an octave away, or
/// left out, helps.
#[test]
fn a_left_hand_note_is_moved_or_dropped() {
    let notes = [(Hand::Right, "E4"), (Hand::Left, "Eb4"), (Hand::Right, "D4")];
    let sounding = notes.map(|(hand, pitch)| (hand, Ticks::ZERO, Ticks::QUARTER, pitch.parse().unwrap()));
    let performance = played(0, &[sounding.to_vec()], 1);
    let tempo = TempoMap::steady(Tempo::quarters(60.0).unwrap());
    let pace = HandPace::from(PaceLevel::Fluent);
    let harp = harp(Tuning::C);
    let ending = EndOfPiece::Stop;
    let request = Request { performance: &performance, harp: &harp, tempo: &tempo, pace: &pace, edits: &[], ending };
    let found = plan_with_ways_out(&request);
    assert_eq!(found.problems.len(), 1);
    assert_eq!(found.problems[0].kind, ProblemKind::SameString);
    let rewrites: Vec<&Rewrite> = found.problems[0]
        .ways_out
        .iter()
        .filter_map(|way| match &way.change {
            Change::Rewrite(rewrites) => rewrites.first(),
            _ => None,
        })
        .collect();
    assert!(rewrites.iter().any(|rewrite| matches!(rewrite, Rewrite::Octaves { up: -1, .. })), "{rewrites:?}");
    assert!(rewrites.iter().any(|rewrite| matches!(rewrite, Rewrite::Octaves { up: 1, .. })));
    assert!(rewrites.iter().any(|rewrite| matches!(rewrite, Rewrite::Drop { .. })));
    assert!(found.problems[0].ways_out.iter().all(|way| way.totals.unplayable == 0));
}

/// F♯4 a bar after F4, the left hand busy on every quarter at 120 and asked to flip all the same: taking that back, the
/// right hand, a slower tempo, and bass notes for the right hand are all found.
#[test]
fn the_other_hand_takes_notes_and_wishes_are_withdrawn() {
    let right = super::small_pieces::line(Hand::Right, 4, "F4 F#4");
    let left = super::small_pieces::line(Hand::Left, 1, "C3 G3 C3 G3 C3 G3 C3 G3");
    let performance = super::small_pieces::piece(0, &[right, left]);
    let tempo = TempoMap::steady(Tempo::quarters(120.0).unwrap());
    let pace = HandPace::from(PaceLevel::Fluent);
    let harp = harp(Tuning::EFlat);
    let ending = EndOfPiece::Stop;
    let request = Request { performance: &performance, harp: &harp, tempo: &tempo, pace: &pace, edits: &[], ending };
    let free = plan(&request);
    assert_eq!((free.totals.rushed, free.gestures[0].hand), (0, Hand::Right), "the right hand is free for it");
    let flip = free.gestures[0].flips[0].name(&performance);
    let edits = [Edit::Hand { flip, hand: Hand::Left }];
    let found = plan_with_ways_out(&Request { edits: &edits, ..request });
    assert_eq!(found.totals.rushed, 1);
    let ways = &found.problems[0].ways_out;
    let offers = |wanted: &dyn Fn(&Change) -> bool| ways.iter().any(|way| wanted(&way.change));
    assert!(offers(&|change| *change == Change::Withdraw(edits[0])));
    assert!(offers(&|change| *change == Change::Edit(Edit::Hand { flip, hand: Hand::Right })));
    assert!(offers(&|change| matches!(change, Change::NoFasterThan(_))), "{ways:?}");
    assert!(
        offers(&|change| matches!(change, Change::Rewrite(rewrites)
            if matches!(rewrites[0], Rewrite::Hand { hand: Hand::Right, .. }))),
        "{ways:?}"
    );
    let wish = Edit::Place { flip, bar: BarIndex::new(9), at: Ticks::ZERO };
    let lost = plan_with_ways_out(&Request { edits: &[wish], ..request });
    assert_eq!(lost.problems[0].ways_out[0].change, Change::Withdraw(wish));
}
