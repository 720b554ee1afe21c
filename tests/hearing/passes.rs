//! A drill's pass played by strings that aren't ours: what is told of its notes and of its flip.

use std::collections::BTreeSet;

use leverlane_core::harp::{Harp, Lever, LeverState, Preset, Tuning};
use leverlane_core::pitch::{Cents, Hertz, MidiNote};
use leverlane_core::plan::PaceLevel;
use leverlane_core::score::Hand;
use leverlane_core::time::{Seconds, Ticks};
use leverlane_core::verdict::{
    ExpectedFlip, ExpectedNote, ExpectedPass, FlipOutcome, Freedom, HeardNote, NoteOutcome, Thresholds, Verdict, judge,
};
use leverlane_hearing::{
    Excerpt, FirstLook, Heard, Listener, MeasuredPluck, PassEar, PluckMeter, SampleIndex, SampleRate, StringFinding,
};
use leverlane_tests::harp_recordings::{Bank, Kind, Passage, PluckKind, RATE};

/// A line of quarters at 100 in C; the string of the sixth is to be raised before it.
type Line = &'static [u8];
const LINE: Line = &[60, 65, 64, 67, 72, 65, 69, 67];
/// One whose raised string is plucked again on the next beat.
const AGAIN: Line = &[60, 62, 64, 67, 72, 65, 65, 69, 67, 64];
/// One high enough for the bend of a late lever to sound like a pluck.
const HIGH: Line = &[76, 83, 84, 88, 86, 89, 84, 81, 86, 88];
const TELLING: usize = 5;
const BEAT: f64 = 0.6;

fn harp() -> Harp {
    Preset::with_strings(34).unwrap().tuned(Tuning::C)
}

fn expected(line: Line) -> ExpectedPass {
    let harp = harp();
    let string = |open: u8| harp.numbered().find(|(_, string)| string.open.midi().get() == open).unwrap();
    let notes = line.iter().enumerate().map(|(index, &open)| {
        let (number, own) = string(open);
        let state = if open == line[TELLING] && index >= TELLING { LeverState::Up } else { LeverState::Down };
        ExpectedNote {
            at: Seconds::new(1.0 + BEAT * index as f64),
            note: own.sounds(state).midi(),
            other_state: Some(own.sounds(!state).midi()),
            string: Some(number),
            hand: Hand::Right,
            freedom: Freedom::Strict,
            chord: index,
            pluck: index,
            played_bar: 0,
            onset: Ticks::ZERO,
        }
    });
    let (string, own) = string(line[TELLING]);
    let at = Seconds::new(1.0 + BEAT * (TELLING as f64 - 0.5));
    let beat = Seconds::new(BEAT);
    let flip = ExpectedFlip { at, string, to: LeverState::Up, open: own.open, told_by: Some(TELLING), beat };
    ExpectedPass { notes: notes.collect(), flips: vec![flip], beat }
}

/// A line with the flipped string raised by so many cents, all from the telling note on so much later. Of two plucks of one
/// string in a row the first is hard and the second soft.
fn played(line: Line, cents: u8, later: f64) -> Passage {
    let plucks = line.iter().enumerate().map(|(index, &open)| {
        let raised = if open == line[TELLING] && index >= TELLING { cents } else { 0 };
        let waited = if index >= TELLING { later } else { 0.0 };
        let velocity = match (index.checked_sub(1).map(|before| line[before]), line.get(index + 1)) {
            (Some(before), _) if before == open => 75,
            (_, Some(&after)) if after == open => 110,
            _ => 90,
        };
        (1.0 + BEAT * index as f64 + waited, PluckKind { open, cents: raised, velocity })
    });
    Passage::of(Kind::Line, 100.0, plucks.collect())
}

fn verdict(line: Line, harp: &Harp, sound: &[f32]) -> Verdict {
    let (expected, rate) = (expected(line), SampleRate::new(RATE).unwrap());
    let likely: Vec<Hertz> = expected
        .notes
        .iter()
        .flat_map(|note| [Some(note.note), note.other_state])
        .flatten()
        .map(|note: MidiNote| Hertz::of_note(note, Hertz::A4))
        .collect();
    let (mut attacks, mut notes): (Vec<SampleIndex>, Vec<HeardNote>) = (Vec::new(), Vec::new());
    let mut listener = Listener::new(rate, &likely);
    let mut tell = |heard: Heard| match heard {
        Heard::Onset(onset) => attacks.push(onset.at),
        Heard::Note(note) => {
            let at = rate.time_of(note.at);
            notes.push(HeardNote { at, note: note.note, cents: note.cents, certainty: note.certainty });
        }
    };
    listener.listen(sound, &mut tell);
    listener.finish(&mut tell);
    let excerpt = Excerpt { starts: SampleIndex::new(0), samples: sound };
    let first = FirstLook { notes: &notes, attacks: &attacks };
    let evidence = PassEar::new(rate).evidence(&expected, harp, Seconds::ZERO, first, excerpt);
    judge(&expected, &evidence, &Thresholds::of_level(PaceLevel::Fluent))
}

/// Truth: what is played here. Every note is there; the flip is made, half made, forgotten, or waited for: also about as long
/// as it is from one pluck of its string to the next, which the first look takes for one that is on time.
#[test]
fn a_flip_is_told_by_its_sound() {
    let cases = [
        (LINE, 100, 0.0, FlipOutcome::Clean),
        (LINE, 50, 0.0, FlipOutcome::Half),
        (LINE, 0, 0.0, FlipOutcome::Missed),
        (LINE, 100, 0.2, FlipOutcome::Clean),
        (AGAIN, 100, 0.5, FlipOutcome::Clean),
    ];
    let kinds = cases.iter().flat_map(|(line, cents, later, _)| played(line, *cents, *later).kinds());
    let bank = match Bank::render(&kinds.collect::<BTreeSet<_>>()) {
        Ok(bank) => bank,
        Err(reason) => return eprintln!("skipped: {reason}"),
    };
    for (line, cents, later, outcome) in cases {
        let verdict = verdict(line, &harp(), &played(line, cents, later).sound(&bank));
        let case = format!("{line:?}, {cents} cents, {later} s later");
        assert_eq!(verdict.flips[0].outcome, outcome, "{case}");
        let heard = |outcome: NoteOutcome| matches!(outcome, NoteOutcome::Hit | NoteOutcome::WrongLever);
        assert!(verdict.notes.iter().all(|note| heard(note.outcome)), "{case}: {:?}", verdict.notes);
        assert!(verdict.extra.is_empty(), "{case}");
        let waited = verdict.flips[0].hesitation.unwrap().longer_by.get();
        assert!((waited - later).abs() < 0.01, "{case}: {waited}");
    }
}

/// Truth: the lever comes so long after the string was plucked, and every note is played on its beat. What sounds anew with it
/// is no note that was waited for.
#[test]
fn a_late_lever_is_no_wait() {
    let late = |line: Line, after: f64| {
        let mut played = played(line, 100, 0.0);
        played.notes[TELLING].kind.cents = 0;
        played.with_late_lever(line[TELLING], 1.0 + BEAT * TELLING as f64, after)
    };
    let cases = [(LINE, 0.15), (LINE, 0.22), (HIGH, 0.15), (HIGH, 0.22)];
    let kinds: BTreeSet<_> = cases.iter().flat_map(|&(line, after)| late(line, after).kinds()).collect();
    let bank = match Bank::render(&kinds) {
        Ok(bank) => bank,
        Err(reason) => return eprintln!("skipped: {reason}"),
    };
    for (line, after) in cases {
        let verdict = verdict(line, &harp(), &late(line, after).sound(&bank));
        let case = format!("{line:?}, {after} s late");
        assert_eq!(verdict.flips[0].outcome, FlipOutcome::Late, "{case}");
        let waited = verdict.flips[0].hesitation.unwrap().longer_by.get();
        assert!(waited.abs() < 0.01, "{case}: {waited}");
        assert!(verdict.extra.is_empty(), "{case}");
    }
}

/// How hard strings are plucked in a lever check: otherwise than in the line.
const CHECKED_AT: [u8; 2] = [70, 110];

/// The harp after a lever check of the line's strings whose levers raise them by so many cents.
fn checked(bank: &Bank, raise: u8) -> Harp {
    let (harp, mut meter) = (harp(), PluckMeter::new(SampleRate::new(RATE).unwrap()));
    let mut measured = |open: u8, cents: u8| -> Vec<MeasuredPluck> {
        let about = Hertz::of_note(MidiNote::new(open).unwrap(), Hertz::A4).raised_by(Cents::new(f64::from(cents)));
        let sound = |velocity| Excerpt {
            starts: SampleIndex::new(0),
            samples: bank.pluck(PluckKind { open, cents, velocity }),
        };
        CHECKED_AT.map(|velocity| meter.measure(sound(velocity), SampleIndex::new(0), about).unwrap()).to_vec()
    };
    let found = harp.numbered().map(|(number, string)| match string.open.midi().get() {
        open if LINE.contains(&open) => {
            StringFinding::of(number, &string.sound, &measured(open, 0), &measured(open, raise)).kept_in(string)
        }
        _ => string.clone(),
    });
    Harp::new(harp.name(), found.collect()).unwrap()
}

/// Truth: the bends that are rendered. A lever that raises its string by 80 cents is up at 65, which is half-way for a lever
/// of a semitone, and half-way at 40; the other outcomes stay what they are on a harp whose levers and strings were measured.
#[test]
fn a_flip_is_told_by_what_the_harps_own_levers_raise() {
    let cases = [
        (80, 80, FlipOutcome::Clean),
        (80, 65, FlipOutcome::Clean),
        (80, 40, FlipOutcome::Half),
        (80, 0, FlipOutcome::Missed),
        (100, 100, FlipOutcome::Clean),
        (100, 65, FlipOutcome::Half),
        (100, 50, FlipOutcome::Half),
        (100, 0, FlipOutcome::Missed),
    ];
    let mut kinds: BTreeSet<_> = cases.iter().flat_map(|&(_, cents, _)| played(LINE, cents, 0.0).kinds()).collect();
    let states = LINE.iter().flat_map(|&open| [0, 80, 100].map(|cents| (open, cents)));
    kinds.extend(states.flat_map(|(open, cents)| CHECKED_AT.map(|velocity| PluckKind { open, cents, velocity })));
    let bank = match Bank::render(&kinds) {
        Ok(bank) => bank,
        Err(reason) => return eprintln!("skipped: {reason}"),
    };
    for (raise, cents, outcome) in cases {
        let harp = checked(&bank, raise);
        for string in harp.strings().iter().filter(|string| LINE.contains(&string.open.midi().get())) {
            let Lever::Fitted { measured: Some(measured) } = string.lever else { panic!("{string:?}") };
            assert!((measured.get() - f64::from(raise)).abs() < 3.0, "{measured:?}");
            assert!(string.sound.open.is_some() && string.sound.raised.is_some(), "{string:?}");
        }
        let verdict = verdict(LINE, &harp, &played(LINE, cents, 0.0).sound(&bank));
        let case = format!("{cents} of {raise} cents");
        assert_eq!(verdict.flips[0].outcome, outcome, "{case}");
        assert!(verdict.extra.is_empty(), "{case}");
    }
}
