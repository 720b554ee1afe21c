//! The top tempo of a gesture against a bisection of its needed and available time at tempos.

use proptest::prelude::*;

use super::small_pieces::{cases, harp, note, performed, planned};
use crate::harp::{StringNumber, Tuning};
use crate::pitch::SpelledPitch;
use crate::plan::{Edit, EndOfPiece, Plan};
use crate::score::{Hand, Note, NoteKind, Performance, Roll};
use crate::time::{ScoreTime, Tempo, Ticks};

/// Pitches that lie on one string each in C tuning, so that the tempo never changes the strings.
const PITCHES: [&str; 16] =
    ["D3", "D#3", "E3", "G3", "G#3", "A3", "A#3", "B3", "D4", "D#4", "E4", "G4", "G#4", "A4", "A#4", "B4"];

/// Chords in both hands, plain, rolled or with graces before them.
fn music() -> impl Strategy<Value = Vec<Note>> {
    let chord = (any::<bool>(), 0i64..24, prop::collection::vec(0usize..PITCHES.len(), 1..4), 0u8..5);
    prop::collection::vec(chord, 2..7).prop_map(|chords| {
        let half = Ticks::new(Ticks::PER_QUARTER / 2);
        let mut notes = Vec::new();
        for (right, at, pitches, manner) in chords {
            let hand = if right { Hand::Right } else { Hand::Left };
            let pitch = |index: usize| PITCHES[index].parse::<SpelledPitch>().unwrap();
            let sounding = |index: usize| note((hand, half * at, half, pitch(index)));
            match manner {
                0 | 1 => notes.extend(pitches.iter().map(|&index| sounding(index))),
                2 | 3 => {
                    let roll = Some(if manner == 2 { Roll::Up } else { Roll::Down });
                    notes.extend(pitches.iter().map(|&index| Note { roll, ..sounding(index) }));
                }
                _ => {
                    let graces = pitches.iter().zip(0u8..).map(|(&index, order)| Note {
                        kind: NoteKind::Grace(order),
                        length: Ticks::ZERO,
                        ..sounding(index)
                    });
                    notes.extend(graces);
                    notes.push(sounding(pitches[0]));
                }
            }
        }
        notes
    })
}

/// Who moves which levers when.
type Move = (ScoreTime, Hand, Vec<StringNumber>);

fn moves(plan: &Plan) -> Vec<Move> {
    let moved = plan
        .gestures
        .iter()
        .map(|gesture| (gesture.at, gesture.hand, gesture.flips.iter().map(|flip| flip.string).collect()));
    moved.collect()
}

/// Every flip fixed to where it is.
fn locks(plan: &Plan, performance: &Performance) -> Vec<Edit> {
    let mut edits = Vec::new();
    for gesture in &plan.gestures {
        let bar = &performance.bars()[gesture.played_bar];
        for flip in gesture.flips.iter().map(|flip| flip.name(performance)) {
            edits.push(Edit::Place { flip, bar: bar.bar, at: gesture.at - bar.starts });
            edits.push(Edit::Hand { flip, hand: gesture.hand });
        }
    }
    edits
}

proptest! {
    #![proptest_config(cases(150))]

    #[test]
    fn the_top_tempo_is_where_the_time_just_suffices(notes in music(), bpm in 20.0..240.0f64, again in any::<bool>()) {
        let ending = if again { EndOfPiece::Loop } else { EndOfPiece::Stop };
        let (performance, harp) = (performed(0, notes, 1), harp(Tuning::C));
        let free = planned(&performance, &harp, bpm, ending, &[]);
        let edits = locks(&free, &performance);
        let at = |bpm: f64| planned(&performance, &harp, bpm, ending, &edits);
        // Which of two notes is left out may change with the tempo.
        prop_assume!(free.totals.unplayable == 0);
        let collides = at(bpm).problems.iter().any(|problem| problem.refused.is_some());
        prop_assume!(!collides);
        // At some tempo a roll or a grace closes the window of one of the flips; beyond it the others aren't where they were.
        let stay = |bpm: f64| moves(&at(bpm)) == moves(&free);
        prop_assert!(stay(Tempo::SLOWEST));
        let closes = fastest(stay);
        for (index, gesture) in free.gestures.iter().enumerate() {
            let top = gesture.top_tempo.map_or(f64::INFINITY, |top| top.quarters_per_minute);
            let fits = |bpm: f64| stay(bpm) && !at(bpm).gestures[index].is_rushed();
            if !fits(Tempo::SLOWEST) {
                prop_assert!(top <= Tempo::SLOWEST * 1.0001, "{top}");
                continue;
            }
            let found = fastest(fits);
            if found < closes * 0.9999 {
                prop_assert!((top / found - 1.0).abs() < 1e-4, "{top} against {found}: {gesture:#?}");
            } else {
                prop_assert!(top >= found * 0.9999, "{top} against {found}: {gesture:#?}");
            }
        }
        if closes < Tempo::FASTEST {
            let tops = free.gestures.iter().filter_map(|gesture| gesture.top_tempo);
            let least = tops.map(|top| top.quarters_per_minute).fold(f64::INFINITY, f64::min);
            prop_assert!(least <= closes * 1.0001, "{least}: the flip whose window closes at {closes} says so");
        }
    }
}

/// The fastest tempo at which something holds that holds at the slowest, by bisection.
fn fastest(holds: impl Fn(f64) -> bool) -> f64 {
    let (mut slow, mut fast) = (Tempo::SLOWEST, Tempo::FASTEST);
    if holds(fast) {
        return fast;
    }
    while fast / slow > 1.000_001 {
        let between = (slow * fast).sqrt();
        if holds(between) { slow = between } else { fast = between }
    }
    slow
}

/// By hand: F3 and F♯3 in the left hand two beats apart at 60, the flip half a beat before the second note, which has one grace on its
/// own string. The way back takes `back`; 0.5 s less 0.08 s is what there is. At `f` times the tempo there is 0.5 / f - 0.08, as
/// long as the grace isn't squeezed: just enough at f = 0.5 / (back + 0.08), where the answer without the grace is 0.5 / back.
#[test]
fn a_grace_keeps_its_time_at_any_tempo() {
    let left = |grace: bool| {
        let mut notes: Vec<Note> = super::small_pieces::line(Hand::Left, 1, "F3 . F#3").into_iter().map(note).collect();
        if grace {
            let own = note((Hand::Left, Ticks::QUARTER * 2, Ticks::ZERO, "F#3".parse().unwrap()));
            notes.push(Note { kind: NoteKind::Grace(0), ..own });
        }
        let (performance, harp) = (performed(0, notes, 1), harp(Tuning::EFlat));
        let free = planned(&performance, &harp, 60.0, EndOfPiece::Stop, &[]);
        let flip = free.gestures[0].flips[0].name(&performance);
        let place =
            Edit::Place { flip, bar: crate::score::BarIndex::new(0), at: Ticks::new(Ticks::PER_QUARTER * 3 / 2) };
        let plan =
            planned(&performance, &harp, 60.0, EndOfPiece::Stop, &[place, Edit::Hand { flip, hand: Hand::Left }]);
        plan.gestures[0].top_tempo.unwrap().quarters_per_minute
    };
    let back = 0.5 / (left(false) / 60.0);
    let by_hand = 60.0 * 0.5 / (back + 0.08);
    assert!((left(true) - by_hand).abs() < 1e-9, "{} against {by_hand}", left(true));
}

/// By hand: G♯3 on the second eighth, a grace G3 before the fifth, the flip on the fourth. Squeezed, the grace sounds a third of the three
/// eighths early, on the flip's own place. It comes to that where 0.08 s are an eighth: 30 / 0.08 = 375 beats a minute.
#[test]
fn a_grace_squeezed_up_to_the_flip_closes_its_window() {
    let eighth = Ticks::new(Ticks::PER_QUARTER / 2);
    let sounding = |at: i64, pitch: &str| note((Hand::Right, eighth * at, eighth, pitch.parse().unwrap()));
    let grace = Note { kind: NoteKind::Grace(0), length: Ticks::ZERO, ..sounding(5, "G3") };
    let notes = vec![sounding(2, "G#3"), grace, sounding(5, "G3"), sounding(8, "D3")];
    let plan = planned(&performed(0, notes, 1), &harp(Tuning::C), 71.457_03, EndOfPiece::Stop, &[]);
    let [gesture] = plan.gestures.as_slice() else { panic!("{:#?}", plan.gestures) };
    assert_eq!(gesture.at, ScoreTime::START + eighth * 4);
    let top = gesture.top_tempo.unwrap().quarters_per_minute;
    assert!((top - 375.0).abs() < 1e-6, "{top}");
}
