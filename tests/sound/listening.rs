//! A drill that is listened to: on devices made up for the test, and on a real device path.

use std::num::NonZeroU16;
use std::sync::Arc;
use std::time::{Duration, Instant};

use leverlane_core::plan::PaceLevel;
use leverlane_core::time::Seconds;
use leverlane_core::verdict::{Thresholds, judge};
use leverlane_listening::{Asked, Joiner, News, PassEvidence, Route, Wholeness};
use leverlane_sound::capture::{ChannelChoice, Source, pair};
use leverlane_sound::clocks::ClockMark;
use leverlane_sound::{ClickSound, Mix, Program, Repeat, SampleRate, Stamp, Volume, monitored_pair};

use super::piece;
use super::student::{self, WAYS};

const TEMPO: f64 = 120.0;
/// The way of sound from the renderer through the room to the microphone's samples, in seconds.
const WAY: f64 = 0.0731;

/// The microphone's rate, off by so many parts per million.
struct Microphone {
    rate: u32,
    ppm: f64,
    latency: Option<Seconds>,
    looks: Looks,
    click: ClickSound,
}

/// How often each pass is listened to.
#[derive(Clone, Copy, PartialEq)]
enum Looks {
    /// As the notes come.
    Once,
    /// And again, knowing what was asked.
    Twice,
}

/// What a listener makes of a drill on made-up devices: clicks bleed into the microphone 14 dB below where they are
/// played, callbacks come every hundredth of a second.
fn listened(microphone: &Microphone) -> Vec<PassEvidence> {
    let rate = SampleRate::USUAL;
    let input_rate = SampleRate::new(microphone.rate).unwrap();
    let clicks = Mix { cue: Volume::SILENT, left_hand: Volume::SILENT, right_hand: Volume::SILENT, ..Mix::default() };
    let (mut controls, mut renderer, mut monitor) = monitored_pair(rate, clicks);
    let (mut intake, mut capture) =
        pair(Source { rate: input_rate, channels: NonZeroU16::MIN, choice: ChannelChoice::Automatic });
    let mut joiner = Joiner::new(rate, input_rate, microphone.latency, &[], Route::Loudspeaker).unwrap();
    let drilled = piece::drilled(TEMPO);
    if microphone.looks == Looks::Twice {
        joiner.ask(0, Arc::new(Asked { expected: drilled.expected, harp: drilled.harp }));
    }
    controls.load(Program::new(&drilled.timeline, rate).clicking(microphone.click), Stamp::Now).unwrap();
    // Two seconds in, as a player would start.
    let start = 96_000;
    controls.start(Repeat::Endless, Stamp::At(leverlane_sound::SampleIndex::new(start))).unwrap();
    let student = student::plays(TEMPO, rate);
    let opened = Instant::now();
    let true_rate = f64::from(microphone.rate) * (1.0 + microphone.ppm * 1e-6);
    // What sounds in the room, by the loudspeaker's count.
    let mut room: Vec<f32> = Vec::new();
    let mut taken = 0u64;
    let mut evidence = Vec::new();
    let mut frames = [[0.0; 2]; 480];
    let seconds = 2.0 + (student::COUNT_IN + student::PASS * WAYS.len() as i64) as f64 * 60.0 / TEMPO + 2.0;
    for callback in 1..=(seconds * 100.0) as u64 {
        let at = opened + Duration::from_millis(10 * callback);
        let mut tell = |news: News| {
            if let News::Pass(pass) = news {
                evidence.push(pass);
            }
        };
        joiner.note_output(ClockMark { count: renderer.position().get(), at }, &mut tell);
        renderer.render(&mut frames);
        while let Some(block) = monitor.next_block() {
            for &sample in block.samples {
                let played = room.len().checked_sub(start as usize).and_then(|n| student.get(n)).copied();
                room.push(
                    0.2 * sample
                        + 0.5 * played.unwrap_or(0.0)
                        + 1e-4 * ((room.len() * 7_919 % 1_009) as f32 / 1_009.0 - 0.5),
                );
            }
        }
        while let Some(sound) = monitor.next_sound() {
            joiner.note_played(sound);
        }
        // All that the microphone has caught by now.
        let until = (0.01 * callback as f64 * true_rate) as u64;
        let caught: Vec<f32> = (taken..until)
            .map(|n| {
                let place = ((n as f64 / true_rate - WAY) * 48_000.0).max(0.0);
                let (whole, part) = (place as usize, place.fract() as f32);
                let sample = |n: usize| room.get(n).copied().unwrap_or(0.0);
                sample(whole) * (1.0 - part) + sample(whole + 1) * part
            })
            .collect();
        taken = until;
        intake.take(&caught, at, Duration::from_millis(10));
        while let Some(block) = capture.next_block() {
            joiner.hear(&block, &mut tell);
        }
    }
    evidence
}

/// Four passes, each in its own way, on clocks that part and at several rates, with the latency known or not, with either
/// click: the verdicts come out right, and the player's earliness with them to 3 ms.
#[test]
fn the_verdicts_of_a_drill_come_out_right() {
    let known = |more: f64| Some(Seconds::new(WAY + more));
    let (usual, high) = (ClickSound::Usual, ClickSound::High);
    for microphone in [
        Microphone { rate: 48_000, ppm: 0.0, latency: known(0.0), looks: Looks::Once, click: usual },
        Microphone { rate: 44_100, ppm: 120.0, latency: None, looks: Looks::Twice, click: usual },
        Microphone { rate: 48_000, ppm: -300.0, latency: known(0.02), looks: Looks::Twice, click: usual },
        Microphone { rate: 48_000, ppm: 0.0, latency: known(0.0), looks: Looks::Once, click: high },
        Microphone { rate: 44_100, ppm: 120.0, latency: None, looks: Looks::Twice, click: high },
    ] {
        let expected = piece::drilled(TEMPO).expected;
        let passes = listened(&microphone);
        assert_eq!(passes.len(), WAYS.len());
        for (number, (pass, &way)) in passes.iter().zip(&WAYS).enumerate() {
            assert_eq!((pass.pass, pass.program, pass.whole), (number as u64, 0, Wholeness::Whole));
            let verdict = judge(&expected, &pass.evidence, &Thresholds::of_level(PaceLevel::Fluent));
            student::assert_true(way, &verdict, 0.003);
        }
    }
}
