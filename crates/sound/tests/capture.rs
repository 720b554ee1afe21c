//! What the microphone's thread must keep to: no allocation, every sample in its place, and losses counted.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::num::NonZeroU16;
use std::time::{Duration, Instant};

use assert_no_alloc::{AllocDisabler, assert_no_alloc};
use leverlane_sound::SampleRate;
use leverlane_sound::capture::{Capture, CaptureTroubles, ChannelChoice, Intake, LevelMeter, Source, pair};

/// Aborts the test run on any allocation or release inside `assert_no_alloc`.
#[global_allocator]
static GUARD: AllocDisabler = AllocDisabler;

fn source(rate: u32, channels: u16, choice: ChannelChoice) -> Source {
    Source { rate: SampleRate::new(rate).unwrap(), channels: NonZeroU16::new(channels).unwrap(), choice }
}

/// A device made up for the test: callbacks of a given length, each at its moment.
struct Dummy {
    intake: Intake,
    rate: u32,
    opened: Instant,
    frames: u64,
}

impl Dummy {
    fn new(source: Source) -> (Dummy, Capture) {
        let (intake, capture) = pair(source);
        (Dummy { intake, rate: source.rate.get(), opened: Instant::now(), frames: 0 }, capture)
    }

    fn deliver(&mut self, interleaved: &[f32], frames: u64) {
        self.frames += frames;
        let at = self.opened + Duration::from_secs_f64(self.frames as f64 / f64::from(self.rate));
        let waited = Duration::from_secs_f64(frames as f64 / f64::from(self.rate));
        assert_no_alloc(|| self.intake.take(interleaved, at, waited));
    }
}

fn read_all(capture: &mut Capture) -> Vec<f32> {
    let mut read = Vec::new();
    while let Some(block) = capture.next_block() {
        assert_eq!((block.first.get(), block.missing), (read.len() as u64, 0));
        read.extend_from_slice(block.samples);
    }
    read
}

/// A ramp of different values goes in by callbacks of all sizes and comes out whole, at 8,000, 48,000 and 192,000 a second.
#[test]
fn callbacks_of_any_size_come_out_whole_without_allocating() {
    for rate in [8_000, 48_000, 192_000] {
        let (mut device, mut capture) = Dummy::new(source(rate, 1, ChannelChoice::Automatic));
        let ramp: Vec<f32> = (0..30_000).map(|n| n as f32 / 30_000.0).collect();
        let mut rest = &ramp[..];
        for size in [0, 1, 2, 7, 64, 441, 480, 4_095, 4_096].into_iter().cycle() {
            let (now, after) = rest.split_at(size.min(rest.len()));
            device.deliver(now, now.len() as u64);
            rest = after;
            if rest.is_empty() {
                break;
            }
        }
        assert_eq!(capture.delivered().get(), 30_000);
        assert_eq!(read_all(&mut capture), ramp, "{rate}");
        assert_eq!(capture.troubles(), CaptureTroubles::default());
    }
}

/// Two channels are averaged; of eight the one with a harp on it is found; and one that is asked for is taken, the last
/// where there are fewer.
#[test]
fn channels() {
    let frames = |channels: usize, with: &dyn Fn(usize, usize) -> f32| -> Vec<f32> {
        (0..48_000).flat_map(|n| (0..channels).map(move |c| (n, c))).map(|(n, c)| with(n, c)).collect()
    };
    let (mut device, mut capture) = Dummy::new(source(48_000, 2, ChannelChoice::Automatic));
    device.deliver(&frames(2, &|_, c| if c == 0 { 0.5 } else { 0.25 }), 48_000);
    assert!(read_all(&mut capture).iter().all(|&sample| sample == 0.375));
    assert_eq!(capture.channel(), None);

    // Channel 6 has the harp, the others a noise 40 dB below it; callbacks of 10 ms.
    let harp = |n: usize| (n as f32 * 0.05).sin();
    let eight = frames(8, &|n, c| if c == 5 { harp(n) } else { 0.01 * (n as f32 * (1.0 + c as f32)).sin() });
    let (mut device, mut capture) = Dummy::new(source(48_000, 8, ChannelChoice::Automatic));
    for callback in eight.chunks(480 * 8) {
        device.deliver(callback, 480);
    }
    assert_eq!(capture.channel(), Some(6));
    let read = read_all(&mut capture);
    assert!((480..48_000).all(|n| read[n] == harp(n)));

    for (asked, expected) in [(3, 2.0), (8, 7.0), (40, 7.0)] {
        let only = ChannelChoice::Only(NonZeroU16::new(asked).unwrap());
        let (mut device, mut capture) = Dummy::new(source(48_000, 8, only));
        device.deliver(&frames(8, &|_, c| c as f32), 48_000);
        assert!(read_all(&mut capture).iter().all(|&sample| sample == expected));
    }
}

/// Nobody reads for ten seconds, four of which fit: the rest is counted, and what comes after stands in its place.
#[test]
fn what_is_not_read_in_time_is_counted_and_moves_nothing() {
    let (mut device, mut capture) = Dummy::new(source(48_000, 1, ChannelChoice::Automatic));
    let numbered = |callback: u64| vec![callback as f32; 480];
    for callback in 0..1_000 {
        device.deliver(&numbered(callback), 480);
    }
    let dropped = capture.troubles().dropped;
    assert_eq!(dropped, 480_000 - 4 * 48_000);
    let mut read = 0;
    while let Some(block) = capture.next_block() {
        assert_eq!(block.samples[0], (block.first.get() / 480) as f32);
        read += block.samples.len() as u64;
    }
    assert_eq!(read, 4 * 48_000);
    device.deliver(&numbered(1_000), 480);
    let block = capture.next_block().unwrap();
    assert_eq!((block.first.get(), block.missing, block.samples[0]), (480_000, dropped, 1_000.0));
}

#[test]
fn what_is_no_number_becomes_silence_and_is_counted() {
    let (mut device, mut capture) = Dummy::new(source(48_000, 1, ChannelChoice::Automatic));
    device.deliver(&[0.5, f32::NAN, f32::INFINITY, f32::NEG_INFINITY, -0.5], 5);
    assert_eq!(read_all(&mut capture), [0.5, 0.0, 0.0, 0.0, -0.5]);
    assert_eq!(capture.troubles().not_numbers, 3);
}

/// Six hours, faster than real time: every sample keeps its number and the reader's memory doesn't grow.
#[test]
fn hours_take_no_more_memory_than_minutes() {
    let (mut device, mut capture) = Dummy::new(source(48_000, 1, ChannelChoice::Automatic));
    let mut meter = LevelMeter::new(SampleRate::USUAL);
    let sound: Vec<f32> = (0..48_000).map(|n| 0.3 * (n as f32 * 0.031).sin()).collect();
    let mut read = 0u64;
    let mut hour = |from: u64| {
        for second in 0..3_600 {
            device.deliver(&sound, 48_000);
            // From the second callback on reading needs nothing new either.
            let mut take = || {
                let block = capture.next_block().unwrap();
                assert_eq!((block.first.get(), block.missing), (read, 0));
                read += block.samples.len() as u64;
                // A sample in sixteen is enough for a meter that must only be shown not to grow.
                meter.hear(&block.samples[..3_000]);
            };
            if from + second > 20 { assert_no_alloc(take) } else { take() }
        }
    };
    for from in (0..6).map(|hour| hour * 3_600) {
        hour(from);
    }
    assert_eq!(read, 6 * 3_600 * 48_000);
}
