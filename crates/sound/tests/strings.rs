//! The plucked voice, heard from outside: pitch, decay and level.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::f64::consts::TAU;

use leverlane_core::drill::{Event, EventKind, Timeline};
use leverlane_core::harp::StringNumber;
use leverlane_core::pitch::MidiNote;
use leverlane_core::score::Hand;
use leverlane_core::time::{Seconds, Tempo, TempoMap, Ticks};
use leverlane_sound::offline::{Extent, render};
use leverlane_sound::{Mix, Program, SampleRate, Volume};

const FULL: Mix = Mix {
    click: Volume::FULL,
    cue: Volume::FULL,
    left_hand: Volume::FULL,
    right_hand: Volume::FULL,
    guide: Volume::FULL,
};

/// These notes together at once, as long as they ring, the left channel.
fn plucked(notes: &[u8], rate: u32, seconds: f64) -> Vec<f64> {
    let events = notes.iter().enumerate().map(|(pluck, &note)| event(pluck, note, None, Ticks::ZERO));
    sounding(events.collect(), rate, seconds)
}

fn event(pluck: usize, note: u8, string: Option<StringNumber>, at: Ticks) -> Event {
    let note = MidiNote::new(note).unwrap();
    Event { at, kind: EventKind::Pluck { note, string, hand: Hand::Left, pluck, shift: Seconds::ZERO } }
}

fn sounding(events: Vec<Event>, rate: u32, seconds: f64) -> Vec<f64> {
    let timeline = Timeline {
        count_in: Vec::new(),
        count_in_length: Ticks::ZERO,
        events,
        length: Ticks::QUARTER * 100,
        tempo: TempoMap::steady(Tempo::quarters(60.0).unwrap()),
    };
    let program = Program::new(&timeline, SampleRate::new(rate).unwrap());
    let extent = Extent::Lasting(Seconds::new(seconds));
    render(program, FULL, extent).into_iter().map(|[left, _]| f64::from(left)).collect()
}

/// The magnitude at any frequency under a Hann window.
fn magnitude(samples: &[f64], rate: f64, hertz: f64) -> f64 {
    let (mut re, mut im) = (0.0, 0.0);
    let length = samples.len() as f64;
    for (n, sample) in samples.iter().enumerate() {
        let window = 0.5 - 0.5 * (TAU * n as f64 / length).cos();
        let (sin, cos) = (TAU * hertz * n as f64 / rate).sin_cos();
        re += sample * window * cos;
        im += sample * window * sin;
    }
    re.hypot(im)
}

/// Equal temperament from A4 = 440 Hz (ISO 16): f = 440 · 2^((m − 69)/12). The fundamental is the highest point of the
/// spectrum near it, found by narrowing down.
fn cents_off(note: u8, rate: u32) -> f64 {
    let expected = 440.0 * ((f64::from(note) - 69.0) / 12.0).exp2();
    let seconds = if note < 60 { 1.0 } else { 0.4 };
    let samples = plucked(&[note], rate, seconds);
    let loudness = |cents: f64| magnitude(&samples, f64::from(rate), expected * (cents / 1200.0).exp2());
    let (mut low, mut high) = (-40.0, 40.0);
    while high - low > 0.05 {
        let third = (high - low) / 3.0;
        if loudness(low + third) < loudness(high - third) { low += third } else { high -= third }
    }
    (low + high) / 2.0
}

#[test]
fn every_note_from_c2_to_c7_is_in_tune_to_the_cent() {
    for note in 36..=96 {
        let off = cents_off(note, 48_000);
        assert!(off.abs() < 1.0, "MIDI {note}: {off} cents");
    }
}

#[test]
fn other_rates_are_in_tune_too() {
    for rate in [44_100, 96_000] {
        for note in [36, 61, 78, 96] {
            let off = cents_off(note, rate);
            assert!(off.abs() < 1.0, "MIDI {note} at {rate}: {off} cents");
        }
    }
}

/// Audible ring (common practice): C2–C3 6–12 s, C4 3–5 s, C5 about 2 s, C6 about 1 s, C7 under 0.5 s; taken as the
/// time to fall by 60 dB, "about" as a fifth either way.
#[test]
fn strings_ring_as_long_as_their_register() {
    let bands = [(36, 6.0..12.0), (48, 6.0..12.0), (60, 3.0..5.0), (72, 1.6..2.4), (84, 0.8..1.2), (96, 0.1..0.5)];
    for (note, band) in bands {
        let samples = plucked(&[note], 48_000, 13.0);
        let levels: Vec<f64> =
            samples.chunks(960).map(|frame| frame.iter().map(|s| s * s).sum::<f64>().sqrt()).collect();
        let silent = levels.iter().rposition(|&level| level > levels[0] / 1000.0).unwrap();
        let rings = silent as f64 * 0.02;
        assert!(band.contains(&rings), "MIDI {note} rings {rings} s");
    }
}

/// The pluck lies near mid-string, which weakens the even partials (practice of harpists).
#[test]
fn the_octave_partial_is_weak() {
    for note in [48, 60, 72] {
        let samples = plucked(&[note], 48_000, 0.4);
        let hertz = 440.0 * ((f64::from(note) - 69.0) / 12.0).exp2();
        let partial = |n: f64| magnitude(&samples, 48_000.0, n * hertz);
        assert!(partial(2.0) < 0.5 * partial(1.0), "MIDI {note}");
        assert!(partial(3.0) > 0.02 * partial(1.0), "MIDI {note}");
    }
}

/// Ten strings at full volume: nothing reaches full scale, and one string alone is well below it.
#[test]
fn nothing_clips() {
    let peak = |notes: &[u8]| plucked(notes, 48_000, 2.0).into_iter().map(f64::abs).fold(0.0, f64::max);
    let many: Vec<u8> = (36..=96).step_by(6).collect();
    assert!(peak(&many) < 1.0);
    let one = peak(&[60]);
    assert!((0.02..0.3).contains(&one), "{one}");
}

/// A note beyond what can be heard as a pitch is left out, without harm.
#[test]
fn notes_beyond_hearing_are_silent() {
    assert!(plucked(&[0, 127], 44_100, 0.1).iter().all(|&sample| sample == 0.0));
}

/// A string sounds one pitch at a time: plucked after its lever was raised, its open pitch is gone. On two strings both
/// ring on, C4 after its second softer by 12 to 20 dB (a fifth to a third of its 60 dB in 3 to 5 s). C4 at 261.63 Hz, C♯4
/// at 277.18 Hz (equal temperament).
#[test]
fn a_string_plucked_anew_no_longer_sounds_as_before() {
    let open_after = |second_string: u8| {
        let string = StringNumber::new;
        let events = vec![event(0, 60, string(20), Ticks::ZERO), event(1, 61, string(second_string), Ticks::QUARTER)];
        let samples = sounding(events, 48_000, 1.6);
        magnitude(&samples[48_000 + 4_800..], 48_000.0, 261.63) / magnitude(&samples[52_800..], 48_000.0, 277.18)
    };
    assert!(open_after(20) < 0.02, "{}", open_after(20));
    assert!((0.1..0.25).contains(&open_after(21)), "{}", open_after(21));
}

/// A cue line sounds by its own volume alone, and doesn't stop the harp's string of the same note: both together are
/// louder than either (arithmetic).
#[test]
fn a_cue_line_has_a_volume_of_its_own() {
    let note = MidiNote::new(67).unwrap();
    let guide = || Event { at: Ticks::ZERO, kind: EventKind::Guide(note) };
    let heard = |events: Vec<Event>, mix: Mix| -> f64 {
        let timeline = Timeline {
            count_in: Vec::new(),
            count_in_length: Ticks::ZERO,
            events,
            length: Ticks::QUARTER * 100,
            tempo: TempoMap::steady(Tempo::quarters(60.0).unwrap()),
        };
        let frames = render(Program::new(&timeline, SampleRate::USUAL), mix, Extent::Lasting(Seconds::new(0.2)));
        frames.iter().map(|[left, _]| f64::from(*left).powi(2)).sum()
    };
    let alone = heard(vec![guide()], FULL);
    assert!(alone > 0.0);
    assert_eq!(heard(vec![guide()], Mix { guide: Volume::SILENT, ..FULL }), 0.0);
    assert_eq!(heard(vec![guide()], Mix { left_hand: Volume::SILENT, right_hand: Volume::SILENT, ..FULL }), alone);
    assert!(heard(vec![guide(), event(0, 67, None, Ticks::ZERO)], FULL) > 1.5 * alone);
}
