//! The sweep that measures the latency.

use std::f64::consts::{PI, TAU};

use crate::sample_clock::SampleRate;

/// How long it is, in seconds.
pub(crate) const LENGTH: f64 = 0.05;
/// Its lowest and highest frequency in hertz: what small loudspeakers and microphones carry.
const FROM_TO: (f64, f64) = (500.0, 8_000.0);
/// How long it rises and falls, in seconds. The longer, the less beside the peak of its match.
const FADE: f64 = 0.012;
/// Its peak: about as loud as a click.
const AMPLITUDE: f64 = 0.4;

/// The sweep's samples. All frequencies get the same time, so that matching it answers equally to all of them.
pub(crate) fn sweep(rate: SampleRate) -> Box<[f32]> {
    let per_second = f64::from(rate.get());
    let (from, to) = (FROM_TO.0, FROM_TO.1.min(0.45 * per_second));
    (0..(LENGTH * per_second) as usize)
        .map(|n| {
            let time = (n as f64 + 0.5) / per_second;
            let turns = from * time + 0.5 * (to - from) / LENGTH * time * time;
            let edge = (time.min(LENGTH - time) / FADE).min(1.0);
            (AMPLITUDE * 0.5 * (1.0 - (PI * edge).cos()) * (TAU * turns).sin()) as f32
        })
        .collect()
}
