//! Ten cases worked by hand (arithmetic on the tunings and the lever's semitone; trade sources stated where one is).

use super::small_pieces::{flips, harp, line, piece, planned, slowly, starts, tune};
use crate::harp::{Harp, Preset, Tuning};
use crate::pitch::Letter;
use crate::plan::{Change, EndOfPiece, HandPace, PaceLevel, ProblemKind, Request, plan_with_ways_out};
use crate::score::Hand::{Left, Right};
use crate::score::Performance;
use crate::time::{Tempo, TempoMap};

/// 1. E♭ tuning set to C major: F4, F♯4, F4 → F4 up and down again, F5 untouched.
#[test]
fn case_1_one_string_up_and_down() {
    let harp = harp(Tuning::EFlat);
    let plan = slowly(&tune(0, "F4 F#4 F4 F5"), &harp);
    assert_eq!(flips(&plan, &harp), "F4 up, F4 down");
    assert_eq!(starts(&plan, &harp, "F4 F5 E4 A4 B4"), "F4 down, F5 down, E4 up, A4 up, B4 up");
    assert_eq!(plan.totals.unplayable, 0);
}

/// 2. E♭ tuning, D major to A major and back: only the G strings that are used move; A♮ keeps the A strings from
///    helping.
#[test]
fn case_2_octaves_are_independent() {
    let harp = harp(Tuning::EFlat);
    let there = "F#4 A3 G3 A3 . G4 A4 G#4 A4 . G#3 A3";
    let plan = slowly(&tune(2, there), &harp);
    assert_eq!(flips(&plan, &harp), "G4 up, G3 up");
    let and_back = format!("{there} . G3 A3 G4 A4");
    let plan = slowly(&tune(2, &and_back), &harp);
    assert_eq!(flips(&plan, &harp), "G4 up, G3 up, G3 down, G4 down");
    assert_eq!(starts(&plan, &harp, "G2 G3 G4 G5"), "G2 down, G3 down, G4 down, G5 down");
}

/// 3. C tuning, D Dorian with a C♯5 at the cadence.
#[test]
fn case_3_a_leading_note() {
    let harp = harp(Tuning::C);
    let alone = tune(0, "D5 E5 F5 E5 D5 C#5 D5 C4");
    let plan = slowly(&alone, &harp);
    assert_eq!((plan.totals.flips, plan.totals.respelled), (0, 0));
    assert_eq!(starts(&plan, &harp, "C4 C5"), "C4 down, C5 up");

    let often = tune(0, "B4 C5 B4 C5 B4 C5 B4 D5 C#5 D5");
    let plan = slowly(&often, &harp);
    assert_eq!((flips(&plan, &harp).as_str(), plan.totals.respelled), ("C5 up", 0));
    assert_eq!(starts(&plan, &harp, "C4 C5"), "C4 down, C5 down");

    let looped = planned(&often, &harp, 20.0, EndOfPiece::Loop, &[]);
    assert_eq!(flips(&looped, &harp), "C5 up, C5 down");
    assert_eq!(looped.start, looped.end);
}

/// 4. C tuning, A minor, G♯4 with G♮3 → G4 set at the start, no flip.
#[test]
fn case_4_set_beforehand() {
    let harp = harp(Tuning::C);
    let plan = slowly(&piece(0, &[line(Right, 1, "A4 G#4 A4 B4"), line(Left, 2, "A3 G3")]), &harp);
    assert_eq!(plan.totals.flips, 0);
    assert_eq!(starts(&plan, &harp, "G3 G4"), "G3 down, G4 up");
}

/// 5. E♭ tuning set to C: E♭5 between E5s is D♯5 where the D string is free; with D♮5 around it, flipping the E string
///    twice (20) beats flipping the D string twice and a respelling (24).
#[test]
fn case_5_the_neighbour_string() {
    let harp = harp(Tuning::EFlat);
    let plan = slowly(&tune(0, "E5 Eb5 E5"), &harp);
    assert_eq!((plan.totals.flips, plan.totals.respelled), (0, 1));
    assert_eq!(starts(&plan, &harp, "D5 E5"), "D5 up, E5 up");
    let plan = slowly(&tune(0, "E5 D5 Eb5 D5 E5"), &harp);
    assert_eq!((flips(&plan, &harp).as_str(), plan.totals.respelled), ("E5 down, E5 up", 0));
}

/// 6. Semitone clusters: what two strings can sound together.
#[test]
fn case_6_notes_together() {
    let together = |tuning, text| slowly(&tune(0, text), &harp(tuning));
    let impossible = together(Tuning::C, "G4+Ab4");
    assert_eq!(impossible.totals.unplayable, 1);
    assert_eq!(impossible.problems[0].kind, ProblemKind::SameString);
    assert_eq!(impossible.problems[0].plucks.len(), 2);
    let possible = together(Tuning::EFlat, "G4+Ab4");
    assert_eq!((possible.totals.unplayable, possible.totals.flips), (0, 0));
    assert_eq!(starts(&possible, &harp(Tuning::EFlat), "G4 A4"), "G4 down, A4 down");
    for tuning in [Tuning::C, Tuning::EFlat] {
        assert_eq!(together(tuning, "D4+Eb4+E4").totals.unplayable, 1, "{tuning}");
    }
}

/// 7. C tuning, "Greensleeves" (traditional): F4 and F5 set at the start, G4 up, down, up; looped four flips a cycle.
#[test]
fn case_7_greensleeves() {
    let harp = harp(Tuning::C);
    let tune = tune(
        0,
        "A4 C5 D5 E5 F#5 E5 D5 B4 G4 A4 B4 C5 A4 A4 G#4 A4 B4 G#4 E4 \
         A4 C5 D5 E5 F#5 E5 D5 B4 G4 A4 B4 C5 B4 A4 G#4 F#4 G#4 A4",
    );
    let plan = slowly(&tune, &harp);
    assert_eq!(flips(&plan, &harp), "G4 up, G4 down, G4 up");
    assert_eq!(starts(&plan, &harp, "F3 F4 F5 F6 G4"), "F3 down, F4 up, F5 up, F6 down, G4 down");
    assert_eq!((plan.totals.unplayable, plan.totals.rushed), (0, 0));
    assert_eq!(planned(&tune, &harp, 20.0, EndOfPiece::Loop, &[]).totals.flips, 4);
}

/// 8. C tuning, levers on F and C only (such sets exist): D major is possible, A major lacks every G♯.
#[test]
fn case_8_partial_levers() {
    let harp = harp(Tuning::C).with_levers_on(&[Letter::F, Letter::C]);
    let d_major = slowly(&tune(2, "D4 E4 F#4 G4 A4 B4 C#5 D5"), &harp);
    assert_eq!((d_major.totals.unplayable, d_major.totals.flips), (0, 0));
    let a_major = slowly(&tune(3, "A3 B3 C#4 D4 E4 F#4 G#4 A4 G#4 G#5"), &harp);
    assert_eq!(a_major.totals.unplayable, 3);
    assert!(a_major.problems.iter().all(|problem| problem.kind == ProblemKind::NoLever));
    assert_eq!(a_major.problems.len(), 3);
}

/// 9. 80 bpm, 1.2 s needed (the nominal times), the right hand busy: left-hand semibreves and minims leave room,
///    crotchets don't.
#[test]
fn case_9_room_by_note_length() {
    let harp = harp(Tuning::C);
    let melody = "C5 D5 E5 F5 G5 F5 E5 D5 C5 D5 E5 F#5 G5 F#5 E5 D5";
    for (quarters, bass, rushed) in [
        (4, "C3 G3 C3 G3", 0),
        (2, "C3 G3 C3 G3 C3 G3 C3 G3", 0),
        (1, "C3 G3 C3 G3 C3 G3 C3 G3 C3 G3 C3 G3 C3 G3 C3 G3", 1),
    ] {
        let piece = piece(0, &[line(Right, 1, melody), line(Left, quarters, bass)]);
        let plan = planned(&piece, &harp, 80.0, EndOfPiece::Stop, &[]);
        assert_eq!(flips(&plan, &harp), "F5 up", "{quarters} quarters");
        assert_eq!(plan.totals.rushed, rushed, "{quarters} quarters: {:?}", plan.gestures);
        assert_eq!(plan.gestures[0].hand, Left);
    }
}

/// 10. 120 bpm, both hands on every beat, C5 then C♯5 a beat later.
#[test]
fn case_10_no_time() {
    let bass = line(Left, 1, "C3 G3 C3 G3");
    let sharp = piece(0, &[line(Right, 1, "G5 C5 C#5 G5"), bass.clone()]);
    let at_120 = |piece: &Performance, harp: &Harp| planned(piece, harp, 120.0, EndOfPiece::Stop, &[]);

    let from_e_flat = at_120(&sharp, &harp(Tuning::EFlat));
    assert_eq!((from_e_flat.totals.rushed, from_e_flat.totals.flips), (1, 1));
    assert_eq!(from_e_flat.problems[0].kind, ProblemKind::Rushed);
    let top = from_e_flat.gestures[0].top_tempo.unwrap().quarters_per_minute;
    let (needed, available) = (from_e_flat.gestures[0].needed, from_e_flat.gestures[0].available.unwrap());
    assert!(available.get() <= 0.5, "no more than the half second between the beats: {available:?}");
    assert!((top - 120.0 * available.get() / needed.get()).abs() < 1e-9);

    // From A♭ tuning D♭5 lies on the D string.
    let flat = piece(0, &[line(Right, 1, "G5 C5 Db5 G5"), bass]);
    let from_a_flat = at_120(&flat, &harp(Tuning::AFlat));
    assert_eq!((from_a_flat.totals.flips, from_a_flat.totals.respelled), (0, 0));

    // From C tuning C5 lies on the raised B4 too.
    let from_c = at_120(&sharp, &harp(Tuning::C));
    assert_eq!((from_c.totals.flips, from_c.totals.respelled, from_c.totals.rushed), (0, 1, 0));
    assert_eq!(starts(&from_c, &harp(Tuning::C), "B4 C5"), "B4 up, C5 up");

    // With the left hand free all along it waits at the lever; the string still rings.
    let free = tune(0, "G5 C5 C#5 G5");
    let waiting = at_120(&free, &harp(Tuning::EFlat));
    assert_eq!((waiting.totals.rushed, waiting.gestures[0].hand), (0, Left));
    assert_eq!(waiting.gestures[0].available, None);
    assert!(waiting.gestures[0].comfort >= 6, "the old note is still held: {}", waiting.gestures[0].comfort);
}

/// Harps are found by their string count, and what lies off them is told, not refused.
#[test]
fn notes_off_the_harp_are_told() {
    let small = Preset::with_strings(22).unwrap().tuned(Tuning::C);
    let plan = slowly(&tune(0, "C3 C4 C7 D7"), &small);
    let kinds: Vec<_> = plan.problems.iter().map(|problem| problem.kind).collect();
    assert_eq!(kinds, [ProblemKind::OffTheHarp, ProblemKind::OffTheHarp]);
    let from_e_flat = slowly(&tune(0, "Db4 Gb4"), &harp(Tuning::EFlat));
    assert_eq!((from_e_flat.totals.unplayable, from_e_flat.totals.respelled), (0, 2));
}

/// Every way out told has been tried: a slower tempo makes the rushed gesture of case 10 possible, and from A♭ or C
/// tuning, as that case says, C5 and C♯5 need no flip.
#[test]
fn ways_out_work() {
    let sharp = piece(0, &[line(Right, 1, "G5 C5 C#5 G5"), line(Left, 1, "C3 G3 C3 G3")]);
    let harp = harp(Tuning::EFlat);
    let tempo = TempoMap::steady(Tempo::quarters(120.0).unwrap());
    let pace = HandPace::from(PaceLevel::Fluent);
    let request =
        Request { performance: &sharp, harp: &harp, tempo: &tempo, pace: &pace, edits: &[], ending: EndOfPiece::Stop };
    let plan = plan_with_ways_out(&request);
    let ways_out = &plan.problems[0].ways_out;
    let offers = |change: Change| ways_out.iter().any(|way| way.change == change);
    assert!(offers(Change::Tuning(Tuning::C)) && offers(Change::Tuning(Tuning::AFlat)));
    let slower = ways_out.iter().find_map(|way| match way.change {
        Change::NoFasterThan(tempo) => Some(tempo.quarters_per_minute()),
        _ => None,
    });
    let slower = slower.unwrap();
    assert_eq!(planned(&sharp, &harp, slower, EndOfPiece::Stop, &[]).totals.rushed, 0);
}
