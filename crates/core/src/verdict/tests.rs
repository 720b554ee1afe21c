//! Passes made by hand: a bar of 4/4 at 60 quarters a minute, so that a beat is a second.

use super::*;
use crate::harp::{LeverState, StringNumber};
use crate::pitch::{Cents, MidiNote};
use crate::plan::PaceLevel;
use crate::score::Hand;
use crate::time::{Seconds, Ticks};

const C5_STRING: u8 = 13;

fn midi(number: u8) -> MidiNote {
    MidiNote::new(number).unwrap()
}

fn note(at: f64, number: u8, chord: usize) -> ExpectedNote {
    let is_c5 = number == 72 || number == 73;
    ExpectedNote {
        at: Seconds::new(at),
        note: midi(number),
        other_state: is_c5.then(|| midi(145 - number)),
        string: is_c5.then(|| StringNumber::new(C5_STRING).unwrap()),
        hand: Hand::Right,
        freedom: Freedom::Strict,
        chord,
        pluck: chord,
        played_bar: 0,
        onset: Ticks::ZERO,
    }
}

/// C5 on the first beat, D5 E5 on the second and third with a bass, the C lever up on the fourth, C♯5 in the next bar.
fn pass() -> ExpectedPass {
    let notes = vec![
        note(0.0, 72, 0),
        note(1.0, 74, 1),
        note(2.0, 48, 2),
        note(2.0, 64, 2),
        note(2.0, 76, 2),
        note(3.0, 74, 3),
        note(4.0, 73, 4),
        note(5.0, 74, 5),
    ];
    let flip = ExpectedFlip {
        at: Seconds::new(3.5),
        string: StringNumber::new(C5_STRING).unwrap(),
        to: LeverState::Up,
        open: "C5".parse().unwrap(),
        told_by: Some(6),
        beat: Seconds::new(1.0),
    };
    ExpectedPass { notes, flips: vec![flip], beat: Seconds::new(1.0) }
}

fn heard(at: f64, number: u8) -> HeardNote {
    HeardNote { at: Seconds::new(at), note: midi(number), cents: Cents::new(0.0), certainty: 1.0 }
}

/// Every note exactly in its place.
fn played() -> Evidence {
    let heard = pass().notes.iter().map(|note| heard(note.at.get(), note.note.get())).collect();
    Evidence { ear: Ear::Exact, heard, ..Evidence::default() }
}

fn fluent(evidence: &Evidence) -> Verdict {
    judge(&pass(), evidence, &Thresholds::of_level(PaceLevel::Fluent))
}

fn outcome(evidence: &Evidence) -> FlipOutcome {
    fluent(evidence).flips[0].outcome
}

#[test]
fn a_pass_in_its_place_is_steady() {
    let verdict = fluent(&played());
    assert_eq!((verdict.steady, verdict.mend), (Steadiness::Steady, None));
    assert!(verdict.notes.iter().all(|note| note.outcome == NoteOutcome::Hit));
    assert_eq!(verdict.flips[0].outcome, FlipOutcome::Clean);
    assert_eq!(verdict.flips[0].cents, Some(Cents::SEMITONE));
    assert_eq!(verdict.bias.unwrap().get(), 0.0);
}

/// Everything 30 ms early, as tapping musicians are (from memory): the habit is told and not held against her.
#[test]
fn her_own_habit_is_taken_off() {
    let mut evidence = played();
    for heard in &mut evidence.heard {
        heard.at = heard.at - Seconds::new(0.03);
    }
    let verdict = fluent(&evidence);
    assert!((verdict.bias.unwrap().get() + 0.03).abs() < 1e-12);
    assert!(verdict.spread.unwrap().get() < 1e-12);
    assert_eq!(verdict.steady, Steadiness::Steady);
}

/// The pitch at the next pluck tells of the lever: C is 0 cents above the open string, C♯ 100.
#[test]
fn the_next_pluck_tells_of_the_flip() {
    for (number, cents, expected) in [
        (73, -8.0, FlipOutcome::Clean),
        (72, 0.0, FlipOutcome::Missed),
        (72, 12.0, FlipOutcome::Missed),
        (72, 45.0, FlipOutcome::Half),
        (73, -40.0, FlipOutcome::Half),
    ] {
        let mut evidence = played();
        evidence.heard[6] = HeardNote { cents: Cents::new(cents), ..heard(4.0, number) };
        let verdict = fluent(&evidence);
        assert_eq!(verdict.flips[0].outcome, expected, "{number} {cents}");
        let clean = expected == FlipOutcome::Clean;
        assert_eq!(verdict.steady, if clean { Steadiness::Steady } else { Steadiness::NotYet });
    }
}

#[test]
fn what_was_not_heard_is_not_blamed() {
    let mut evidence = played();
    evidence.ear = Ear::Microphone;
    evidence.heard[6].certainty = 0.2;
    let verdict = fluent(&evidence);
    assert_eq!((verdict.flips[0].outcome, verdict.steady), (FlipOutcome::Unheard, Steadiness::Unheard));
    assert!(matches!(verdict.mend, Some(Mend::FlipUnheard { .. })));

    let silence = Evidence { ear: Ear::Microphone, ..Evidence::default() };
    let verdict = fluent(&silence);
    assert_eq!((verdict.steady, verdict.mend), (Steadiness::Unheard, Some(Mend::NothingHeard)));
    assert_eq!(fluent(&Evidence::default()).steady, Steadiness::Unheard);
}

#[test]
fn evidence_about_the_lever_outweighs_the_note() {
    let lever = |state, changed_to| {
        let string = StringNumber::new(C5_STRING).unwrap();
        let mut evidence = played();
        evidence.levers = vec![LeverEvidence { string, at: Seconds::new(4.02), state, changed_to }];
        evidence
    };
    assert_eq!(outcome(&lever(LeverHeard::Up, None)), FlipOutcome::Clean);
    assert_eq!(outcome(&lever(LeverHeard::Open, None)), FlipOutcome::Missed);
    assert_eq!(outcome(&lever(LeverHeard::Open, Some(LeverHeard::Up))), FlipOutcome::Late);
    assert_eq!(outcome(&lever(LeverHeard::Half(Cents::new(50.0)), None)), FlipOutcome::Half);
    assert_eq!(outcome(&lever(LeverHeard::Half(Cents::new(50.0)), Some(LeverHeard::Up))), FlipOutcome::Late);
    assert_eq!(outcome(&lever(LeverHeard::Unsure, None)), FlipOutcome::Unheard);
}

/// The note that would tell of the flip was not played; the string's next one, half a beat later, was: that the lever is up
/// then says nothing of the beat.
#[test]
fn the_note_after_does_not_tell_of_the_flip() {
    let mut expected = pass();
    expected.notes.insert(7, note(4.4, 73, 5));
    let string = StringNumber::new(C5_STRING).unwrap();
    let lever = |at: f64| LeverEvidence { string, at: Seconds::new(at), state: LeverHeard::Up, changed_to: None };
    let mut evidence = played();
    evidence.heard.insert(7, heard(4.41, 73));
    evidence.levers = vec![lever(4.0), lever(4.41)];
    let outcome =
        |evidence: &Evidence| judge(&expected, evidence, &Thresholds::of_level(PaceLevel::Fluent)).flips[0].outcome;
    assert_eq!(outcome(&evidence), FlipOutcome::Clean);
    evidence.heard.remove(6);
    evidence.levers.remove(0);
    assert_eq!(outcome(&evidence), FlipOutcome::Unheard);
}

/// Nobody flips a lever back unasked: where the note that would tell of the flip was not heard, and the string's next one sounds
/// as before the flip, or half-way, it was not made; after the string's next flip that says nothing any more.
#[test]
fn a_lever_that_still_stands_as_before_at_the_note_after_was_missed() {
    let mut expected = pass();
    expected.notes.insert(7, note(4.4, 73, 5));
    let string = StringNumber::new(C5_STRING).unwrap();
    let outcome = |expected: &ExpectedPass, unsure: Option<f64>, sounds: u8, state: LeverHeard| {
        let mut evidence = played();
        evidence.heard.insert(7, heard(4.41, sounds));
        evidence.heard.remove(6);
        let lever =
            |(at, state): (f64, LeverHeard)| LeverEvidence { string, at: Seconds::new(at), state, changed_to: None };
        let unsure = unsure.map(|at| (at, LeverHeard::Unsure));
        evidence.levers = unsure.into_iter().chain([(4.41, state)]).map(lever).collect();
        judge(expected, &evidence, &Thresholds::of_level(PaceLevel::Fluent)).flips[0].outcome
    };
    let half = LeverHeard::Half(Cents::new(50.0));
    for unsure in [None, Some(4.0)] {
        assert_eq!(outcome(&expected, unsure, 72, LeverHeard::Open), FlipOutcome::Missed);
        assert_eq!(outcome(&expected, unsure, 73, half), FlipOutcome::Half);
        assert_eq!(outcome(&expected, unsure, 73, LeverHeard::Up), FlipOutcome::Unheard);
    }
    expected.notes[7].note = midi(72);
    let (at, to) = (Seconds::new(4.2), LeverState::Down);
    expected.flips.push(ExpectedFlip { at, to, told_by: Some(7), ..expected.flips[0] });
    assert_eq!(outcome(&expected, Some(4.0), 72, LeverHeard::Open), FlipOutcome::Unheard);
}

/// The note that would tell of the flip was not heard, but two later ones of its string were: the first that says anything is
/// believed, and a lever that comes while it rings came late, for it was still as before when the string was plucked.
#[test]
fn the_first_note_after_that_says_anything_tells_of_the_flip() {
    let mut expected = pass();
    expected.notes.insert(7, note(4.3, 73, 5));
    expected.notes.insert(8, note(4.6, 73, 5));
    let string = StringNumber::new(C5_STRING).unwrap();
    let outcome = |levers: [(LeverHeard, Option<LeverHeard>); 2]| {
        let mut evidence = played();
        evidence.heard.remove(6);
        evidence.heard.splice(6..6, [heard(4.3, 73), heard(4.6, 73)]);
        let lever = |((state, changed_to), at)| LeverEvidence { string, at: Seconds::new(at), state, changed_to };
        evidence.levers = levers.into_iter().zip([4.3, 4.6]).map(lever).collect();
        judge(&expected, &evidence, &Thresholds::of_level(PaceLevel::Fluent)).flips[0].outcome
    };
    let (open, up, unsure) = ((LeverHeard::Open, None), (LeverHeard::Up, None), (LeverHeard::Unsure, None));
    assert_eq!(outcome([up, open]), FlipOutcome::Unheard, "it stood right, and was moved back later");
    assert_eq!(outcome([unsure, open]), FlipOutcome::Missed);
    assert_eq!(outcome([open, up]), FlipOutcome::Missed);
    assert_eq!(outcome([(LeverHeard::Open, Some(LeverHeard::Up)), up]), FlipOutcome::Late);
}

/// The two notes from the flip on come 200 ms late, at a beat of 1 s: a fifth of the beat.
#[test]
fn waiting_for_the_flip_is_told() {
    let mut evidence = played();
    for heard in &mut evidence.heard[6..] {
        heard.at = heard.at + Seconds::new(0.2);
    }
    let verdict = fluent(&evidence);
    let hesitation = verdict.hesitation.unwrap();
    assert!((hesitation.longer_by.get() - 0.2).abs() < 1e-12 && (hesitation.of_beat - 0.2).abs() < 1e-12);
    assert_eq!(verdict.steady, Steadiness::NotYet);
    let mend = verdict.mend.unwrap().to_string();
    assert_eq!(mend, "The music waited 200 ms (20 % of a beat) for the flip of C5: count through it.");
    let beginner = judge(&pass(), &evidence, &Thresholds::of_level(PaceLevel::Beginner));
    assert_eq!(beginner.steady, Steadiness::Steady, "a quarter of the beat is allowed there");
}

#[test]
fn a_string_missing_in_a_chord_is_blamed_only_where_nothing_goes_unheard() {
    let mut evidence = played();
    evidence.heard.remove(3);
    let verdict = fluent(&evidence);
    assert_eq!(verdict.notes[3].outcome, NoteOutcome::Missed);
    assert_eq!(verdict.mend, Some(Mend::NotesMissed { missed: 1, expected: 8 }));
    evidence.ear = Ear::Microphone;
    let verdict = fluent(&evidence);
    assert_eq!((verdict.notes[3].outcome, verdict.steady), (NoteOutcome::NotHeard, Steadiness::Steady));
    evidence.heard.remove(1);
    assert_eq!(fluent(&evidence).notes[1].outcome, NoteOutcome::Missed, "a note by itself would have been heard");
}

/// A chord rolled slowly, top first, its last string after the next note of the melody.
#[test]
fn rolls_in_any_order_and_overlapping_hands_find_their_notes() {
    let mut evidence = played();
    evidence.heard[2].at = Seconds::new(3.05);
    evidence.heard[4].at = Seconds::new(1.95);
    evidence.heard.sort_by(|a, b| a.at.get().total_cmp(&b.at.get()));
    let reach = fluent(&evidence);
    // A beat late is out of reach of the order of chords and of the second look; it is a missing and a foreign note.
    assert_eq!(reach.notes[2].outcome, NoteOutcome::Missed);
    assert_eq!(reach.extra.len(), 1);
    let bass = evidence.heard.iter().position(|heard| heard.note == midi(48)).unwrap();
    let late = HeardNote { at: Seconds::new(2.6), ..evidence.heard.remove(bass) };
    let mut early = evidence.clone();
    early.heard.iter_mut().find(|heard| heard.at == Seconds::new(3.0)).unwrap().at = Seconds::new(2.55);
    early.heard.push(late);
    early.heard.sort_by(|a, b| a.at.get().total_cmp(&b.at.get()));
    let verdict = fluent(&early);
    assert!(verdict.notes.iter().all(|note| note.outcome == NoteOutcome::Hit), "{:?}", verdict.notes);
}

#[test]
fn a_foreign_note_is_extra_unless_it_is_uncertain() {
    let mut evidence = played();
    evidence.heard.insert(1, heard(0.5, 62));
    assert_eq!(fluent(&evidence).extra, [1]);
    assert_eq!(fluent(&evidence).mend, Some(Mend::NotesExtra { extra: 1 }));
    evidence.heard[1].certainty = 0.3;
    assert_eq!(fluent(&evidence).steady, Steadiness::Steady);
}

/// C♯ from the very first beat: the lever had not been brought back.
#[test]
fn a_lever_left_wrong_is_named() {
    let mut evidence = played();
    evidence.heard[0] = heard(0.0, 73);
    let verdict = fluent(&evidence);
    assert_eq!(verdict.notes[0].outcome, NoteOutcome::WrongLever);
    assert!(matches!(verdict.mend, Some(Mend::LeverWrong { note: 0, .. })));
}

#[test]
fn taps_tell_the_beat_of_the_flip() {
    let tapped = |taps: &[f64]| {
        let taps = taps.iter().copied().map(Seconds::new).collect();
        fluent(&Evidence { taps: Some(taps), ..Evidence::default() })
    };
    let on_time = tapped(&[3.55]);
    assert_eq!((on_time.basis, on_time.steady), (Basis::Tapped, Steadiness::Steady));
    assert!((on_time.flips[0].tap_error.unwrap().get() - 0.05).abs() < 1e-12);
    assert_eq!(tapped(&[4.1]).flips[0].outcome, FlipOutcome::Late);
    assert_eq!(tapped(&[]).flips[0].outcome, FlipOutcome::Missed);
    assert!(matches!(tapped(&[3.1]).mend, Some(Mend::TapOffBeat { .. })), "0.4 of a beat early");
}

#[test]
fn her_own_word_decides() {
    let mut evidence = played();
    evidence.word = Some(OwnWord::Missed);
    assert_eq!((fluent(&evidence).basis, fluent(&evidence).steady), (Basis::OwnWord, Steadiness::NotYet));
    let said = Evidence { word: Some(OwnWord::Clean), ..Evidence::default() };
    assert_eq!(fluent(&said).steady, Steadiness::Steady);
}

/// SciPy 1.x `median_abs_deviation(x, scale="normal")`: for 1 2 3 4 100 the median is 3, the deviations' median 1, so
/// 1.4826; arithmetic.
#[test]
fn medians_and_spreads() {
    assert_eq!(median(&[4.0, 1.0, 3.0, 2.0]), Some(2.5));
    assert_eq!(median(&[]), None);
    assert!((spread(&[1.0, 2.0, 3.0, 4.0, 100.0]).unwrap() - 1.482_602_2).abs() < 1e-6);
    assert_eq!(spread(&[1.0]), None);
}

#[test]
fn senseless_limits_are_refused() {
    for level in PaceLevel::ALL {
        assert!(Thresholds::of_level(level).checked().is_ok());
    }
    let limits = Thresholds { wrong_notes: f64::NAN, ..Thresholds::of_level(PaceLevel::Fluent) };
    assert_eq!(limits.checked().unwrap_err().what, "wrong notes");
}
