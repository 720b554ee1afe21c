//! Ways out: everything that is offered has been tried, and gives what it promised.

use std::collections::BTreeSet;

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::TestRunner;

use super::small_pieces::{Sounding, harp, line, piece, planned, played};
use crate::harp::{Harp, LeverState, StringNumber, Tuning};
use crate::pitch::Letter;
use crate::plan::{
    Change, Edit, EndOfPiece, HandPace, PaceLevel, Plan, ProblemKind, Request, plan, plan_with_ways_out, with_edit,
};
use crate::score::{BarIndex, Hand, NoteName, Performance, Rewrite};
use crate::time::{Tempo, TempoMap, Ticks};

/// Two hands in even notes with some accidentals, on the usual harp or one with levers on four letters, in a tuning and at a tempo
/// that may not suit; and a number that says what the player wishes of it.
fn troubled() -> impl Strategy<Value = (Performance, Harp, f64, u8)> {
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
    let levers = prop::bool::weighted(0.2);
    (hand(Hand::Right, 62), hand(Hand::Left, 38), tuning, levers, 40.0..140.0f64, any::<u8>()).prop_map(
        |(right, left, tuning, few, bpm, wish)| {
            let all = harp(tuning);
            let harp = if few { all.with_levers_on(&[Letter::F, Letter::C, Letter::B, Letter::G]) } else { all };
            (played(0, &[right, left], 1), harp, bpm.round(), wish)
        },
    )
}

/// What a player may have decided about a plan's flips, sensible or not.
fn wishes(plan: &Plan, harp: &Harp, performance: &Performance, wish: u8) -> Vec<Edit> {
    let mut edits = Vec::new();
    for (index, gesture) in plan.gestures.iter().enumerate() {
        let flip = &gesture.flips[0];
        let name = flip.name(performance);
        let bar = &performance.bars()[performance.bar_at(flip.window.before)];
        match (usize::from(wish) + index) % 7 {
            0 => edits.push(Edit::Hand { flip: name, hand: !gesture.hand }),
            // A 16th before the need.
            1 if name.needed_at > Ticks::QUARTER => {
                let at = name.needed_at - Ticks::new(Ticks::PER_QUARTER / 4);
                edits.push(Edit::Place { flip: name, bar: bar.bar, at });
            }
            2 => edits.push(Edit::Preset { string: flip.string, state: flip.to }),
            3 => edits.push(Edit::Forbid { flip: name }),
            _ => {}
        }
    }
    if wish.is_multiple_of(3) {
        // Every note that lies on two strings on the one that the planner didn't take.
        for (pluck, taken) in plan.strings.iter().enumerate() {
            let ways = harp.ways_to_sound(performance.plucks()[pluck].pitch.midi());
            let other = ways.map(|(string, _)| string).find(|&string| taken.is_some_and(|(taken, _)| taken != string));
            let note = performance.note_name(pluck);
            edits.extend(note.zip(other).map(|(note, string)| Edit::String { note, string }));
        }
    }
    edits
}

/// What a change is called in the design's list of ways out.
fn kind(change: &Change) -> &'static str {
    match change {
        Change::Edit(Edit::String { .. }) => "neighbour string",
        Change::Edit(Edit::Preset { .. }) => "lever set beforehand",
        Change::Edit(Edit::Hand { .. }) => "other hand",
        Change::Edit(Edit::Place { .. } | Edit::Forbid { .. }) => "another beat",
        Change::DampAndFlip(_) => "earlier, the string damped",
        Change::Withdraw(_) => "wish taken back",
        Change::Retune { .. } => "one string retuned",
        Change::Tuning(_) => "another tuning",
        Change::Harp(..) => "another harp",
        Change::NoFasterThan(_) => "slower",
        Change::Rewrite(rewrites) => match rewrites.first() {
            Some(Rewrite::Hand { .. }) => "note to the other hand",
            Some(Rewrite::Octaves { .. }) => "left-hand note an octave away",
            _ => "note dropped",
        },
    }
}

/// Everything that the design lists, and the two things that follow from the player's own decisions.
const KINDS: [&str; 13] = [
    "another beat",
    "another harp",
    "another tuning",
    "earlier, the string damped",
    "left-hand note an octave away",
    "lever set beforehand",
    "neighbour string",
    "note dropped",
    "note to the other hand",
    "one string retuned",
    "other hand",
    "slower",
    "wish taken back",
];

/// Looks for ways out and carries out each: the totals must be those promised, nothing worse than before, and the problem gone.
/// The kinds that were offered.
fn kept_promises(request: &Request<'_>) -> BTreeSet<&'static str> {
    let found = plan_with_ways_out(request);
    let mut kinds = BTreeSet::new();
    for problem in &found.problems {
        for way in &problem.ways_out {
            let changed = way.change.applied(request).unwrap();
            let after = plan(&changed.request());
            assert_eq!(after.totals, way.totals, "{:?}", way.change);
            assert!(after.totals.unplayable <= found.totals.unplayable);
            assert!(after.totals.rushed <= found.totals.rushed);
            let same = |other: &&crate::plan::Problem| (other.kind, other.at) == (problem.kind, problem.at);
            let left = after.problems.iter().filter(same).filter(|other| other.refused == problem.refused);
            assert_eq!(left.count(), 0, "{:?} leaves {problem:?}", way.change);
            kinds.insert(kind(&way.change));
        }
    }
    kinds
}

/// So many pieces, each with and without wishes.
const PIECES: usize = 250;

#[test]
fn every_way_out_gives_what_it_promised() {
    let mut runner = TestRunner::deterministic();
    let (pace, ending) = (HandPace::from(PaceLevel::Fluent), EndOfPiece::Stop);
    let mut kinds = BTreeSet::new();
    for _ in 0..PIECES {
        let (performance, harp, bpm, wish) = troubled().new_tree(&mut runner).unwrap().current();
        let free = planned(&performance, &harp, bpm, ending, &[]);
        let edits = wishes(&free, &harp, &performance, wish);
        let tempo = TempoMap::steady(Tempo::quarters(bpm).unwrap());
        for edits in [&[][..], &edits] {
            kinds.extend(kept_promises(&Request {
                performance: &performance,
                harp: &harp,
                tempo: &tempo,
                pace: &pace,
                edits,
                ending,
            }));
        }
    }
    let missing: Vec<_> = KINDS.into_iter().filter(|kind| !kinds.contains(kind)).collect();
    assert_eq!(missing, [""; 0], "every kind is offered somewhere");
}

/// The ways out of the problems of a piece at a tempo, as changes.
fn offered(performance: &Performance, harp: &Harp, bpm: f64, edits: &[Edit]) -> Vec<Change> {
    let (tempo, pace) = (TempoMap::steady(Tempo::quarters(bpm).unwrap()), HandPace::from(PaceLevel::Fluent));
    let request = Request { performance, harp, tempo: &tempo, pace: &pace, edits, ending: EndOfPiece::Stop };
    kept_promises(&request);
    let found = plan_with_ways_out(&request);
    found.problems.into_iter().flat_map(|problem| problem.ways_out).map(|way| way.change).collect()
}

/// Both hands on every quarter.
fn busy(right: &str) -> Performance {
    let left = vec!["C3 G3"; right.split_whitespace().count().div_ceil(2)].join(" ");
    piece(0, &[line(Hand::Right, 1, right), line(Hand::Left, 1, &left)])
}

fn string(harp: &Harp, pitch: &str) -> StringNumber {
    harp.string_of_letter(pitch.parse().unwrap()).unwrap().0
}

/// E♭5 between two E5, asked for on the E string, which then flips down and up with no hand free: on the raised D string (worked
/// case 5) nothing flips.
#[test]
fn a_neighbour_string_is_offered() {
    let (performance, harp) = (busy("E5 Eb5 E5 G5"), harp(Tuning::EFlat));
    let note = NoteName { bar: BarIndex::new(0), at: Ticks::QUARTER, pitch: "Eb5".parse().unwrap() };
    let on = |pitch: &str| Edit::String { note, string: string(&harp, pitch) };
    let changes = offered(&performance, &harp, 120.0, &[on("E5")]);
    assert!(changes.contains(&Change::Edit(on("D5"))), "{changes:?}");
}

/// E5 preset down, though E5 comes on the second beat with no hand free: set up before the start it is there.
#[test]
fn a_lever_set_beforehand_is_offered() {
    let (performance, harp) = (busy("G5 E5 G5 E5"), harp(Tuning::EFlat));
    let preset = |state| Edit::Preset { string: string(&harp, "E5"), state };
    let changes = offered(&performance, &harp, 120.0, &[preset(LeverState::Down)]);
    assert!(changes.contains(&Change::Edit(preset(LeverState::Up))), "{changes:?}");
}

/// F3 held for three beats at 120, then F♯3, the right hand busy. A flip fixed a quarter of a beat before the need leaves the left hand
/// an eighth of a second to come back; two beats before there is time, but the string still sounds.
#[test]
fn an_earlier_flip_with_the_string_damped_is_offered() {
    let left = [(0, 3, "F3"), (4, 4, "F#3")]
        .map(|(at, length, pitch)| (Hand::Left, Ticks::QUARTER * at, Ticks::QUARTER * length, pitch.parse().unwrap()));
    let performance = piece(0, &[line(Hand::Right, 1, "G4 A4 G4 A4 G4 A4 G4 A4"), left.to_vec()]);
    let harp = harp(Tuning::EFlat);
    let flip = planned(&performance, &harp, 120.0, EndOfPiece::Stop, &[]).gestures[0].flips[0].name(&performance);
    let late = Edit::Place { flip, bar: BarIndex::new(0), at: Ticks::new(Ticks::PER_QUARTER * 15 / 4) };
    let edits = with_edit(&[late], Edit::Hand { flip, hand: Hand::Left });
    let changes = offered(&performance, &harp, 120.0, &edits);
    let damped = changes.iter().any(|change| {
        matches!(change, Change::DampAndFlip(Edit::Place { flip: other, at, .. })
        if *other == flip && *at < Ticks::new(Ticks::PER_QUARTER * 15 / 4))
    });
    assert!(damped, "{changes:?}");
}

/// B♭4 on a harp in C with levers on F and C only (worked case 8): tune that string a semitone down, tune the harp to F, or take a harp
/// with all its levers.
#[test]
fn a_retuned_string_another_tuning_and_another_harp_are_offered() {
    let harp = harp(Tuning::C).with_levers_on(&[Letter::F, Letter::C]);
    let performance = piece(0, &[line(Hand::Right, 1, "A4 Bb4 A4 G4")]);
    let changes = offered(&performance, &harp, 60.0, &[]);
    let retuned = Change::Retune { string: string(&harp, "B4"), open: "Bb4".parse().unwrap() };
    assert!(changes.contains(&retuned), "{changes:?}");
    assert!(changes.contains(&Change::Tuning(Tuning::F)), "{changes:?}");
    assert!(changes.iter().any(|change| matches!(change, Change::Harp(_, Tuning::C))), "{changes:?}");
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
    let right = line(Hand::Right, 4, "F4 F#4");
    let left = line(Hand::Left, 1, "C3 G3 C3 G3 C3 G3 C3 G3");
    let performance = piece(0, &[right, left]);
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

/// Two wishes that can't be met, told of the same moment: each can be taken back by itself.
#[test]
fn each_lost_wish_can_be_taken_back() {
    let (performance, harp) = (busy("G5 E5 G5 E5"), harp(Tuning::EFlat));
    let lost =
        [40, 41].map(|number| Edit::Preset { string: StringNumber::new(number).unwrap(), state: LeverState::Up });
    let changes = offered(&performance, &harp, 60.0, &lost);
    assert_eq!(changes, lost.map(Change::Withdraw));
}
