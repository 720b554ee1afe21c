//! Pieces on which the placement once missed the best there is, each with the reason. The comparisons of
//! [`super::exhaustive`] and a search beside them found them; the best is that of the reference written there.

use super::exhaustive::{Rules, best_of_all_places};
use super::small_pieces::{Sounding, planned, played};
use crate::harp::{Harp, Tuning};
use crate::pitch::{Letter, SpelledPitch};
use crate::plan::{EndOfPiece, Plan};
use crate::score::Hand::{self, Left, Right};
use crate::time::Ticks;

/// A hand, an onset and a length in eighths, and a pitch.
type Eighths = (Hand, i64, i64, &'static str);

/// Plans a piece on a harp of six strings with levers on some, and finds its placement to be the best of all.
fn best_plan(tuning: Tuning, (top, bottom): (&str, &str), levers: &[Letter], notes: &[Eighths], bpm: f64) -> Plan {
    let pitch = |text: &str| text.parse::<SpelledPitch>().unwrap();
    let harp = Harp::spanning("small", pitch(top), pitch(bottom), tuning).unwrap().with_levers_on(levers);
    let eighth = Ticks::new(Ticks::PER_QUARTER / 2);
    let sounding = |&(hand, at, eighths, text): &Eighths| (hand, eighth * at, eighth * eighths, pitch(text));
    let performance = played(0, &[notes.iter().map(sounding).collect::<Vec<Sounding>>()], 1);
    let plan = planned(&performance, &harp, bpm, EndOfPiece::Stop, &[]);
    let rules = Rules { performance: &performance, harp: &harp, bpm };
    let best = best_of_all_places(&rules, &plan);
    assert_eq!(best, Some((plan.totals.rushed, plan.totals.comfort)), "{:#?}", plan.gestures);
    plan
}

/// The left hand's chord has a note below the harp, which says nothing of where the hand is: the mean is that of the other two.
#[test]
fn a_note_off_the_harp_moves_no_hand() {
    let notes =
        [(Left, 9, 1, "A3"), (Right, 9, 1, "A3"), (Left, 11, 1, "Eb4"), (Left, 9, 1, "E4"), (Left, 9, 1, "Bb3")];
    let plan = best_plan(Tuning::EFlat, ("G4", "B3"), &[Letter::E], &notes, 59.787_756);
    assert_eq!((plan.totals.flips, plan.totals.unplayable), (1, 2));
}

/// Two flips that are each rushed alone, of neighbouring levers with overlapping windows: one rushed gesture is better
/// than two, however uncomfortable.
#[test]
fn rushed_neighbours_share_one_gesture() {
    let notes =
        [(Left, 8, 1, "B3"), (Right, 10, 1, "Db4"), (Left, 11, 1, "Gb3"), (Right, 11, 1, "Bb3"), (Left, 13, 1, "C4")];
    let plan = best_plan(Tuning::BFlat, ("E4", "G3"), &[Letter::C, Letter::B], &notes, 70.324_889);
    assert_eq!((plan.totals.flips, plan.totals.rushed), (2, 1));
}

/// A and F, close enough together to be tight but not rushed, are best made with G between them in one motion, though
/// G by itself would rather be made later.
#[test]
fn a_lever_between_two_others_joins_them() {
    let notes = [
        (Right, 8, 1, "F4"),
        (Right, 8, 2, "A4"),
        (Right, 10, 2, "G4"),
        (Right, 14, 3, "F#4"),
        (Right, 16, 2, "A#4"),
        (Right, 20, 1, "G#4"),
    ];
    let plan = best_plan(Tuning::C, ("B4", "D4"), &[Letter::A, Letter::G, Letter::F], &notes, 107.0);
    assert_eq!((plan.totals.flips, plan.totals.rushed), (3, 0));
}

/// A lever whose own rushing keeps it from no place where the lever above is rushed anyway: both in the left hand, not
/// in the right.
#[test]
fn a_lever_follows_to_where_the_other_is_rushed() {
    let notes = [
        (Left, 0, 1, "D4"),
        (Right, 2, 1, "Db4"),
        (Right, 5, 1, "A3"),
        (Left, 8, 1, "B3"),
        (Left, 9, 1, "Bb3"),
        (Left, 9, 1, "C4"),
    ];
    let plan = best_plan(Tuning::F, ("G4", "B3"), &[Letter::C, Letter::B], &notes, 189.518_994);
    assert_eq!((plan.totals.rushed, plan.gestures.len(), plan.gestures[0].hand), (1, 1, Left));
}

/// A gesture of two levers soon after another of the same hand, for which one lever alone would not be too late.
#[test]
fn a_gesture_of_two_levers_follows_more_slowly() {
    let notes = [
        (Left, 0, 1, "B3"),
        (Right, 1, 3, "Gb4"),
        (Right, 4, 1, "E4"),
        (Right, 4, 1, "F4"),
        (Left, 7, 1, "B3"),
        (Right, 7, 1, "F4"),
        (Left, 7, 1, "Gb4"),
    ];
    let plan = best_plan(Tuning::C, ("A4", "C4"), &[Letter::F, Letter::E], &notes, 145.526_032);
    assert_eq!((plan.totals.flips, plan.totals.rushed), (3, 2));
}

/// G♭ on the F string and A♭ on the G string: two levers, both without time, in one rushed gesture. E on its own string then needs no
/// third flip, nor F♭. Counted by its share of a gesture each of the two looked dearer than one rushed flip by itself.
#[test]
fn a_gesture_that_is_rushed_anyhow_takes_another_lever_along() {
    let notes = [(Left, 3, 1, "G4"), (Right, 3, 1, "F4"), (Left, 4, 1, "Gb4"), (Left, 4, 1, "Ab4"), (Left, 7, 1, "E4")];
    let plan = best_plan(Tuning::F, ("G4", "B3"), &[Letter::G, Letter::F, Letter::E], &notes, 63.870_038);
    assert_eq!((plan.totals.rushed, plan.totals.flips, plan.totals.respelled), (1, 2, 2));
}
