//! Latency by sweeps through a room made up for the test, by taps, and the book it is kept in.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::f64::consts::{PI, TAU};
use std::time::{Duration, Instant};

use leverlane_core::time::Seconds;
use leverlane_sound::capture::HeardIndex;
use leverlane_sound::clocks::{ClockMark, TwoClocks};
use leverlane_sound::latency::{
    BookError, DevicePair, Latency, LatencyBook, LatencyError, MeasuredBy, TapsError, by_taps, find_sweep, measure,
};
use leverlane_sound::{SampleIndex, SampleRate};

/// Numbers that look random, the same every time (the constants of Numerical Recipes' quick generator).
struct Dice(u32);

impl Dice {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(self.0 >> 8) / f64::from(1u32 << 24)
    }

    /// By the central limit: twelve evenly spread numbers.
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }
}

/// The sweep by its description, at any time: 50 ms from 500 to 8,000 Hz, all frequencies equally long, rising and falling
/// along half a cosine in 12 ms.
fn sweep_at(time: f64) -> f64 {
    if !(0.0..0.05).contains(&time) {
        return 0.0;
    }
    let edge = (time.min(0.05 - time) / 0.012).min(1.0);
    0.5 * (1.0 - (PI * edge).cos()) * (TAU * (500.0 * time + 0.5 * 150_000.0 * time * time)).sin()
}

/// A room: delays in seconds after the direct sound, with their strengths. Forty reflections within 200 ms, the first
/// from a table at 2 ms, as strong all together as a lively room's (about 60 dB down after 0.5 s).
fn room(dice: &mut Dice) -> Vec<(f64, f64)> {
    let mut ways = vec![(0.0, 1.0), (0.002, 0.8)];
    ways.extend((0..40).map(|_| {
        let delay = 0.004 + 0.2 * dice.unit();
        let sign = if dice.unit() < 0.5 { -1.0 } else { 1.0 };
        (delay, sign * 0.5 * 10f64.powf(-3.0 * delay / 0.5))
    }));
    ways
}

/// What a microphone hears of a sweep that arrives at `arrives`, with noise as strong as the sweep.
fn heard(length: f64, rate: f64, arrives: f64, noise: f64, dice: &mut Dice) -> Vec<f32> {
    let room = room(dice);
    let clean: Vec<f64> = (0..(length * rate) as usize)
        .map(|n| room.iter().map(|(delay, size)| size * sweep_at(n as f64 / rate - arrives - delay)).sum())
        .collect();
    let from = (arrives * rate) as usize;
    let sounding = &clean[from..from + (0.05 * rate) as usize];
    let rms = (sounding.iter().map(|sample| sample * sample).sum::<f64>() / sounding.len() as f64).sqrt();
    clean.iter().map(|sample| (0.05 * (sample + noise * rms * dice.normal())) as f32).collect()
}

/// Sweeps in a room with reflections, down to 0 dB of signal to noise: the direct sound is found to a twentieth of a
/// millisecond, at every rate.
#[test]
fn a_sweep_is_found_in_noise_and_reflections() {
    let mut worst: f64 = 0.0;
    for rate in [44_100, 48_000, 96_000] {
        for (noise, seed) in [(0.0, 1), (0.1, 2), (0.3, 3), (1.0, 4), (1.0, 5), (1.0, 6)] {
            let mut dice = Dice(seed);
            let per_second = f64::from(rate);
            let arrives = 0.05 + 0.2 * dice.unit();
            let heard = heard(0.4, per_second, arrives, noise, &mut dice);
            let found = find_sweep(&heard, SampleRate::new(rate).unwrap()).unwrap();
            // The sweep's samples lie half a sample into their time.
            let error = (found.at - 0.5) / per_second - arrives;
            worst = worst.max(error.abs());
            assert!(found.clarity > 9.0, "{found:?}");
            assert!(error.abs() < 0.000_05, "{rate}, noise {noise}: {:.4} ms", error * 1_000.0);
        }
    }
    println!("worst error {:.4} ms", worst * 1_000.0);
}

#[test]
fn noise_alone_is_no_sweep() {
    let mut dice = Dice(7);
    for _ in 0..10 {
        let noise: Vec<f32> = (0..30_000).map(|_| (0.1 * dice.normal()) as f32).collect();
        let found = find_sweep(&noise, SampleRate::USUAL).unwrap();
        assert!(found.clarity < 9.0, "{found:?}");
    }
    assert_eq!(find_sweep(&[0.0; 100], SampleRate::USUAL), None);
}

/// Two devices at 44,100 and 48,000 with callbacks of 10 ms on time, their clocks apart by 100 parts per million.
struct Pair {
    clocks: TwoClocks,
    input_rate: f64,
}

impl Pair {
    fn new() -> Pair {
        let rate = |rate| SampleRate::new(rate).unwrap();
        let mut clocks = TwoClocks::new(rate(44_100), rate(48_000), None);
        let (opened, input_rate) = (Instant::now(), 48_000.0 * 1.000_1);
        for callback in 1..=1_000u64 {
            let at = |seconds: f64| opened + Duration::from_secs_f64(seconds);
            clocks.note_output(ClockMark { count: callback * 441, at: at(callback as f64 / 100.0) });
            clocks.note_input(ClockMark { count: callback * 480, at: at((callback * 480) as f64 / input_rate) });
        }
        Pair { clocks, input_rate }
    }
}

/// Seven sweeps, one of them drowned by a slammed door and one not heard at all: the median is right to a tenth of a
/// millisecond, across rates and drifting clocks.
#[test]
fn the_median_of_several_sweeps_is_the_latency() {
    const WAY: f64 = 0.123_4;
    let mut pair = Pair::new();
    let mut dice = Dice(11);
    let played: Vec<SampleIndex> = (0..7).map(|n| SampleIndex::new(44_100 * 2 + n * 30_870)).collect();
    let mut sound = vec![0f32; (9.5 * pair.input_rate) as usize];
    for (n, sweep) in played.iter().enumerate() {
        let arrives = sweep.get() as f64 / 44_100.0 + WAY;
        let first = ((arrives - 0.1) * pair.input_rate) as usize;
        let one = heard(0.6, pair.input_rate, arrives - first as f64 / pair.input_rate, 0.3, &mut dice);
        let size = if n == 4 { 0.0 } else { 1.0 };
        for (sum, sample) in sound[first..].iter_mut().zip(one) {
            *sum += size * sample;
        }
        if n == 2 {
            for sample in &mut sound[first + 3_000..first + 9_000] {
                *sample = (0.9 * dice.normal()) as f32;
            }
        }
    }
    let latency = measure(HeardIndex::new(0), &sound, SampleRate::USUAL, &played, &mut pair.clocks).unwrap();
    assert!((latency.seconds.get() - WAY).abs() < 0.000_1, "{latency:?}");
    assert!(latency.spread.get() < 0.000_2 && latency.clear >= 5, "{latency:?}");

    // From now on the counts are known to the sample: a sound played 5 s later is heard when it should be.
    let later = pair.clocks.heard_when_played(SampleIndex::new(44_100 * 12)).unwrap().get() as f64 / pair.input_rate;
    assert!(pair.clocks.is_exact() && (later - (12.0 + WAY)).abs() < 0.000_2, "{later}");

    let mut pair = Pair::new();
    let silence = vec![0.0; sound.len()];
    let unheard = measure(HeardIndex::new(0), &silence, SampleRate::USUAL, &played, &mut pair.clocks).unwrap_err();
    assert_eq!(unheard, LatencyError::NotHeard { clear: 0, played: 7 });
    assert!(unheard.to_string().contains("pluck along with the click"), "{unheard}");
}

/// A way that is another at every sweep, as that of wireless devices: refused, with the reason.
#[test]
fn a_way_that_wanders_is_refused() {
    let mut pair = Pair::new();
    let mut dice = Dice(13);
    let played: Vec<SampleIndex> = (0..7).map(|n| SampleIndex::new(44_100 * 2 + n * 30_870)).collect();
    let mut sound = vec![0f32; (9.5 * pair.input_rate) as usize];
    for (n, sweep) in played.iter().enumerate() {
        let arrives = sweep.get() as f64 / 44_100.0 + 0.2 + 0.012 * n as f64;
        let first = ((arrives - 0.1) * pair.input_rate) as usize;
        let one = heard(0.4, pair.input_rate, arrives - first as f64 / pair.input_rate, 0.1, &mut dice);
        for (sum, sample) in sound[first..].iter_mut().zip(one) {
            *sum += sample;
        }
    }
    let refused = measure(HeardIndex::new(0), &sound, SampleRate::USUAL, &played, &mut pair.clocks).unwrap_err();
    assert!(matches!(refused, LatencyError::Unsteady { .. }), "{refused:?}");
    assert!(refused.to_string().contains("use a cable"), "{refused}");
}

/// Four clicks to listen to and twelve to tap with at 120 a minute, taps that are early by 15 ms and stray by 15 (from memory:
/// what musicians do, who are 10 to 30 ms early), one click left out: the latency is that of the devices, but for the 5 ms by
/// which she is less early than others, to within 10 ms. Or: no taps with the click at all; or the click is heard itself.
#[test]
fn taps_stand_in_where_there_is_no_loop() {
    const WAY: f64 = 0.06;
    let pair = Pair::new();
    let mut dice = Dice(17);
    let clicks: Vec<SampleIndex> = (0..16).map(|n| SampleIndex::new(44_100 + n * 22_050)).collect();
    let (listened, clicks) = clicks.split_at(4);
    let by_taps = |taps: &[HeardIndex]| by_taps(listened, clicks, taps, &pair.clocks);
    let taps_by = |late: &mut dyn FnMut() -> f64| -> Vec<HeardIndex> {
        let at = clicks.iter().map(|click| click.get() as f64 / 44_100.0 + WAY + late());
        at.enumerate().filter(|(n, _)| *n != 5).map(|(_, at)| HeardIndex::new((at * pair.input_rate) as u64)).collect()
    };
    let latency = by_taps(&taps_by(&mut || -0.015 + 0.015 * dice.normal())).unwrap();
    assert!((latency.seconds.get() - (WAY - 0.015 + 0.02)).abs() < 0.01, "{latency:?}");
    assert_eq!((latency.clear, latency.by), (11, MeasuredBy::Taps));
    let uneven = by_taps(&taps_by(&mut || 0.6 * dice.unit()));
    assert!(matches!(uneven, Err(TapsError::Uneven { .. })), "{uneven:?}");
    assert_eq!(by_taps(&[HeardIndex::new(220_000)]), Err(TapsError::TooFew { found: 1 }));
    let echoes = listened.iter().chain(clicks).map(|click| click.get() as f64 / 44_100.0 + WAY);
    let echoes: Vec<HeardIndex> = echoes.map(|at| HeardIndex::new((at * pair.input_rate) as u64)).collect();
    assert_eq!(by_taps(&echoes), Err(TapsError::ClickHeard { heard: 4, listened: 4 }));
}

fn device_pair(output: &str, input_rate: u32) -> DevicePair {
    DevicePair {
        output: output.to_owned(),
        output_rate: SampleRate::USUAL,
        input: "alsa:harp \"mic\"".to_owned(),
        input_rate: SampleRate::new(input_rate).unwrap(),
    }
}

#[test]
fn the_book_keeps_each_pair_and_refuses_what_is_none() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("settings").join("latency.ron");
    let mut book = LatencyBook::read(&path).unwrap();
    assert_eq!(book, LatencyBook::default());
    let latency = |seconds, by| Latency { seconds: Seconds::new(seconds), spread: Seconds::ZERO, clear: 7, by };
    book.note(device_pair("speakers", 48_000), latency(0.5, MeasuredBy::Sweeps));
    book.note(device_pair("speakers", 44_100), latency(0.25, MeasuredBy::Taps));
    book.note(device_pair("speakers", 48_000), latency(0.125, MeasuredBy::Sweeps));
    book.write(&path).unwrap();
    book.write(&path).unwrap();
    let read = LatencyBook::read(&path).unwrap();
    assert_eq!(read.entries().len(), 2);
    assert_eq!(read.latency_of(&device_pair("speakers", 48_000)), Some(latency(0.125, MeasuredBy::Sweeps)));
    assert_eq!(read.latency_of(&device_pair("speakers", 44_100)), Some(latency(0.25, MeasuredBy::Taps)));
    // Another loudspeaker: measure again.
    assert_eq!(read.latency_of(&device_pair("headphones", 48_000)), None);

    for wrong in ["", "(version: 1, pairs: [", "(version: 2, pairs: [])", "\u{0}\u{1}"] {
        std::fs::write(&path, wrong).unwrap();
        let refused = LatencyBook::read(&path).unwrap_err();
        assert!(matches!(refused, BookError::Content { .. }));
        let told = refused.to_string();
        assert!(told.contains("latency.ron") && told.contains("measure again") && told.lines().count() == 1, "{told}");
    }
    let absurd = "(version: 1, pairs: [(output: \"a\", output_rate: 3, input: \"b\", input_rate: 48000, \
                  milliseconds: 1.0, spread_milliseconds: 0.0, clear: 5, by: Sweeps)])";
    std::fs::write(&path, absurd).unwrap();
    assert!(matches!(LatencyBook::read(&path), Err(BookError::Content { .. })));
}
