//! What a plan says of how good it is, against the best there is.

use proptest::prelude::*;

use super::exhaustive::{Rules, best_of_all_plans, score_of};
use super::small_pieces::{Sounding, cases, line, piece, planned, played};
use crate::harp::{Harp, HarpString, Lever, StringPlace, StringSound, Tuning};
use crate::pitch::SpelledPitch;
use crate::plan::{EndOfPiece, Gap, Plan, Proof};
use crate::score::Hand;
use crate::time::Ticks;

/// Whether a plan may be better by so much by what the proof says.
fn allows(proof: Proof, reached: (u32, u32, u32, u32), best: (u32, u32, u32, u32)) -> bool {
    match proof {
        Proof::BestPossible => reached == best,
        Proof::Within(Gap { unplayable, .. }) if unplayable > 0 => reached.0 <= best.0 + unplayable,
        Proof::Within(Gap { rushed, .. }) if rushed > 0 => reached.0 == best.0 && reached.1 <= best.1 + rushed,
        Proof::Within(Gap { work, .. }) if work > 0 => {
            (reached.0, reached.1) == (best.0, best.1) && reached.2 <= best.2 + work
        }
        Proof::Within(Gap { comfort, .. }) => {
            (reached.0, reached.1, reached.2) == (best.0, best.1, best.2) && reached.3 <= best.3 + comfort
        }
    }
}

proptest! {
    #![proptest_config(cases(300))]

    /// No plan is better than a plan's proof allows, of all strings and places there are.
    #[test]
    fn no_plan_is_better_than_the_proof_allows((harp, notes) in score_of(7), bpm in 20.0..240.0f64) {
        let performance = played(0, &[notes], 1);
        let plan = planned(&performance, &harp, bpm, EndOfPiece::Stop, &[]);
        let rules = Rules { performance: &performance, harp: &harp, bpm };
        if let Some(best) = best_of_all_plans(&rules) {
            prop_assert!(best <= plan.totals.rank(), "{:?} is better than the best, {best:?}", plan.totals);
            prop_assert!(allows(plan.proof, plan.totals.rank(), best), "{best:?}, {:?} {:?}", plan.totals, plan.proof);
        }
    }
}

/// Seven strings tuned a semitone apart, every one with a lever: six of their eight notes lie on two strings, and all hang together.
fn crowded_harp() -> Harp {
    let opens = ["Abb4", "Gb4", "F4", "E4", "D#4", "C##4", "B##3"];
    let strings = opens.into_iter().enumerate().map(|(from_top, open)| {
        let open: SpelledPitch = open.parse().unwrap();
        let place = StringPlace::nominal(open, from_top);
        HarpString { open, lever: Lever::UNCHECKED, place, sound: StringSound::UNHEARD }
    });
    Harp::new("crowded", strings.collect()).unwrap()
}

/// Where so many strings hang together that not everything can be looked at, the plan still says how much better another could be.
#[test]
fn a_bound_where_not_everything_can_be_looked_at() {
    let harp = crowded_harp();
    let sixteenth = Ticks::new(Ticks::PER_QUARTER / 4);
    // Three notes at a time, all eight in no order (a walk through the residues of a prime).
    let notes: Vec<Sounding> = (1..150u32)
        .map(|index| {
            let midi = crate::pitch::MidiNote::new(61 + (index.pow(3) % 1_009 % 8) as u8).unwrap();
            let (string, state) = harp.ways_to_sound(midi).next().unwrap();
            let hand = if index % 2 == 0 { Hand::Right } else { Hand::Left };
            (hand, sixteenth * i64::from(index / 3), sixteenth, harp.string(string).unwrap().sounds(state))
        })
        .collect();
    let performance = piece(0, &[notes]);
    for ending in [EndOfPiece::Stop, EndOfPiece::Loop] {
        let plan = planned(&performance, &harp, 60.0, ending, &[]);
        let Proof::Within(gap) = plan.proof else { panic!("nothing was left out: {:?}", plan.totals) };
        let (unplayable, rushed, work, comfort) = plan.totals.rank();
        let reached = Gap { unplayable, rushed, work, comfort };
        let figures = |gap: Gap| [gap.unplayable, gap.rushed, gap.work, gap.comfort];
        let (says, reached) = (figures(gap), figures(reached));
        assert!(says.iter().zip(reached).all(|(says, reached)| *says <= reached), "{says:?} of {reached:?}");
    }
}

/// Both hands on every quarter at 120, so that no flip is in time: G up for the second G♯, D up for the D♯ two bars later. No other
/// string has these notes in C tuning, and no lever moves beside them: both flips are rushed in any plan.
#[test]
fn rushed_gestures_that_every_plan_has_are_proved() {
    let right = line(Hand::Right, 1, "G4 B4 G#4 B4 A4 B4 A4 B4 D5 A4 D#5 A4");
    let left = line(Hand::Left, 1, "A2 E3 A2 E3 A2 E3 A2 E3 A2 E3 A2 E3");
    let plan = at_120(&[right, left]);
    assert_eq!((plan.totals.rushed, plan.proof), (2, Proof::BestPossible), "{:#?}", plan.gestures);
}

/// The G strings two octaves apart have to be raised for one chord. No motion reaches both, so one gives way to the other in any
/// plan; what that costs is part of the bound.
#[test]
fn flips_that_are_in_each_others_way_in_every_plan_are_proved() {
    let right = line(Hand::Right, 1, "G3+G5 . . . . G#3+G#5");
    let left = line(Hand::Left, 1, "A2 E3 A2 E3 A2 E3");
    let plan = at_120(&[right, left]);
    assert_eq!((plan.gestures.len(), plan.proof), (2, Proof::BestPossible), "{:#?}", plan.gestures);
}

fn at_120(lines: &[Vec<Sounding>]) -> Plan {
    planned(&piece(0, lines), &super::small_pieces::harp(Tuning::C), 120.0, EndOfPiece::Stop, &[])
}
