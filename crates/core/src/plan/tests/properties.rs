//! What must hold for every plan, by reasoning alone.

use proptest::prelude::*;

use super::exhaustive::small_score;
use super::small_pieces::{Sounding, cases, planned, played};
use crate::harp::{Harp, HarpString, Lever, LeverState, Millimetres, StringPlace, StringSound, Tuning};
use crate::pitch::{Letter, SpelledPitch};
use crate::plan::{Edit, EndOfPiece, Plan};
use crate::score::{Hand, Performance};
use crate::time::Ticks;

/// Twelve strings in the deep bass, where every string rings for the same nine seconds, with one geometry for all.
fn bass_harp(lowest_steps: i16, tuning: Tuning) -> Harp {
    let strings = (0..12).rev().map(|above| {
        let steps = lowest_steps + above;
        let letter = Letter::from_steps(i32::from(steps));
        let open = SpelledPitch::new(letter, tuning.alter(letter), (steps.div_euclid(7)) as i8).unwrap();
        let across = Millimetres::new(15.9 * f64::from(11 - above));
        let place = StringPlace { across, lever_above: Millimetres::new(400.0) };
        HarpString { open, lever: Lever::UNCHECKED, place, sound: StringSound::UNHEARD }
    });
    Harp::new("bass", strings.collect()).unwrap()
}

/// A pitch a perfect fourth higher: three letters and five semitones.
fn a_fourth_up(pitch: SpelledPitch) -> SpelledPitch {
    let steps = pitch.staff_steps() + 3;
    let letter = Letter::from_steps(i32::from(steps));
    let octave = steps.div_euclid(7) as i8;
    let natural = SpelledPitch::new(letter, 0, octave).unwrap();
    let alter = i16::from(pitch.midi().get()) + 5 - i16::from(natural.midi().get());
    SpelledPitch::new(letter, alter as i8, octave).unwrap()
}

/// Notes of a hand: onset in eighths, letters above the lowest string, sharp or flat or neither, length in eighths.
fn bass_notes() -> impl Strategy<Value = Vec<(bool, i64, i16, i8, i64)>> {
    prop::collection::vec((any::<bool>(), 0i64..24, 0i16..12, -1i8..=1, 1i64..5), 1..14)
}

/// Plays the plan on a harp of its own: levers as set, flips and plucks as they come. The strings that sound wrong.
fn replayed(performance: &Performance, harp: &Harp, plan: &Plan) -> Vec<String> {
    let mut up: Vec<bool> = plan.start.levers().map(|(_, state)| state == LeverState::Up).collect();
    let mut wrong = Vec::new();
    let mut flips: Vec<(i64, usize, bool)> = Vec::new();
    for gesture in &plan.gestures {
        for flip in &gesture.flips {
            flips.push((gesture.at.since_start().get(), flip.string.index(), flip.to == LeverState::Up));
        }
    }
    flips.sort_unstable();
    let mut next = 0;
    for (pluck, way) in performance.plucks().iter().zip(&plan.strings) {
        let now = pluck.at.since_start().get();
        while next < flips.len() && flips[next].0 <= now {
            let (at, string, to) = flips[next];
            if up[string] == to {
                wrong.push(format!("string {string} is already there at {at}"));
            }
            up[string] = to;
            next += 1;
        }
        if let Some((string, _)) = way {
            let index = usize::from(string.get()) - 1;
            let sounds = harp.strings()[index].open.midi().get() + u8::from(up[index]);
            if sounds != pluck.pitch.midi().get() {
                wrong.push(format!("{} sounds {sounds} at {now}", pluck.pitch.ascii()));
            }
        }
    }
    for (_, string, to) in flips.drain(next..) {
        up[string] = to;
    }
    let end: Vec<bool> = plan.end.levers().map(|(_, state)| state == LeverState::Up).collect();
    if up != end {
        wrong.push("the levers don't end where the plan says".to_owned());
    }
    wrong
}

proptest! {
    #![proptest_config(cases(200))]

    /// A fourth higher, harp, tuning and piece together: the same plan. C to F, F to B♭ and so on is that interval.
    #[test]
    fn transposing_everything_changes_nothing(notes in bass_notes(), from in 0usize..4, bpm in 20.0..160.0f64) {
        // Twelve letters up from E0 and a fourth more end at E2, MIDI 40: all strings ring alike up to C3, MIDI 48.
        let lowest = 2;
        let lower = bass_harp(lowest, Tuning::ALL[from]);
        let higher = bass_harp(lowest + 3, Tuning::ALL[from + 1]);
        let half = Ticks::new(Ticks::PER_QUARTER / 2);
        let sounding = |transposed: bool| -> Vec<Sounding> {
            notes.iter().map(|&(right, at, above, alter, eighths)| {
                let string = lower.strings()[11 - above as usize].open;
                let pitch = string.altered_by(alter.max(0)).unwrap();
                let pitch = if transposed { a_fourth_up(pitch) } else { pitch };
                (if right { Hand::Right } else { Hand::Left }, half * at, half * eighths, pitch)
            }).collect()
        };
        let plan = |harp: &Harp, transposed| {
            let performance = played(0, &[sounding(transposed)], 1);
            planned(&performance, harp, bpm, EndOfPiece::Stop, &[])
        };
        let (low, high) = (plan(&lower, false), plan(&higher, true));
        prop_assert_eq!(low.totals, high.totals);
        let gestures = |plan: &Plan| -> Vec<_> {
            plan.gestures.iter().map(|gesture| {
                let flips: Vec<_> = gesture.flips.iter().map(|flip| (flip.string, flip.to)).collect();
                (gesture.at, gesture.hand, flips)
            }).collect()
        };
        prop_assert_eq!(gestures(&low), gestures(&high));
    }

    /// The plan at the faster tempo can be played at the slower one, with no more rushed gestures.
    #[test]
    fn slower_is_never_more_rushed((harp, notes) in small_score(), bpm in 30.0..200.0f64, share in 0.3..1.0f64) {
        let performance = played(0, &[notes], 1);
        let plan = |bpm| planned(&performance, &harp, bpm, EndOfPiece::Stop, &[]);
        let (slower, faster) = (plan(bpm * share), plan(bpm));
        let rushed = |plan: &Plan| (plan.totals.unplayable, plan.totals.rushed);
        prop_assert!(
            rushed(&slower) <= rushed(&faster),
            "{:?} {:?} at the slower tempo, {:?} at the faster", slower.totals, slower.proof, faster.totals
        );
    }

    /// Whoever has a lever more can leave it alone.
    #[test]
    fn a_lever_more_is_never_worse((harp, notes) in small_score(), bpm in 20.0..200.0f64, which in 0usize..6) {
        let performance = played(0, &[notes], 1);
        let mut strings = harp.strings().to_vec();
        strings[which].lever = Lever::NotFitted;
        let fewer = Harp::new("fewer", strings.clone()).unwrap();
        strings[which].lever = Lever::UNCHECKED;
        let more = Harp::new("more", strings).unwrap();
        let plan = |harp: &Harp| planned(&performance, harp, bpm, EndOfPiece::Stop, &[]);
        let (more, fewer) = (plan(&more), plan(&fewer));
        prop_assert!(
            more.totals.rank() <= fewer.totals.rank(),
            "{:?} {:?} with the lever, {:?} without", more.totals, more.proof, fewer.totals
        );
    }

    /// Locking every flip to where it is anyway changes nothing.
    #[test]
    fn locks_at_the_optimum_change_nothing((harp, notes) in small_score(), bpm in 20.0..200.0f64) {
        let performance = played(0, &[notes], 1);
        let free = planned(&performance, &harp, bpm, EndOfPiece::Stop, &[]);
        let mut edits = Vec::new();
        for gesture in &free.gestures {
            let bar = &performance.bars()[gesture.played_bar];
            for flip in gesture.flips.iter().map(|flip| flip.name(&performance)) {
                edits.push(Edit::Place { flip, bar: bar.bar, at: gesture.at - bar.starts });
                edits.push(Edit::Hand { flip, hand: gesture.hand });
            }
        }
        let mut locked = planned(&performance, &harp, bpm, EndOfPiece::Stop, &edits);
        let collides = locked.problems.iter().any(|problem| problem.refused.is_some());
        // Two gestures of one hand at one moment are rushed already; as locks they are told.
        prop_assume!(!collides);
        locked.gestures.iter_mut().for_each(|gesture| gesture.locked = false);
        prop_assert_eq!(&locked.gestures, &free.gestures);
        prop_assert_eq!(locked.totals, free.totals);
    }

    /// Played on a simulated harp, every note that the plan plays sounds at its written pitch, once, twice and in a loop.
    #[test]
    fn the_plan_sounds_as_written((harp, notes) in small_score(), bpm in 20.0..200.0f64, times in 1u8..3, again in any::<bool>()) {
        let performance = played(0, &[notes], times);
        let ending = if again { EndOfPiece::Loop } else { EndOfPiece::Stop };
        let plan = planned(&performance, &harp, bpm, ending, &[]);
        prop_assert_eq!(replayed(&performance, &harp, &plan), Vec::<String>::new());
        let unplayed = plan.strings.iter().filter(|way| way.is_none()).count();
        prop_assert_eq!(unplayed, plan.totals.unplayable as usize);
        let roomless = plan.problems.iter().any(|problem| problem.kind == crate::plan::ProblemKind::NoRoomForFlip);
        if again && !roomless {
            prop_assert_eq!(&plan.start, &plan.end);
        }
    }
}
