//! How much new sound there is, moment by moment.
//!
//! The method is that of Böck and Widmer (2013, "Maximum filter vibrato suppression for onset detection"): magnitudes in
//! bands of a 24th of an octave, compressed by a logarithm, compared with the greatest of three bands some frames ago;
//! what has grown counts.

use crate::clock::SampleRate;
use crate::spectrum::Spectrum;

/// Bands an octave.
const BANDS_AN_OCTAVE: f64 = 24.0;
/// The lowest band's frequency: below the lowest string (A1, 55 Hz) there is only noise.
const LOWEST_HZ: f64 = 50.0;
/// The highest band's frequency. Above it there is little of a harp, and the click's own burst.
const HIGHEST_HZ: f64 = 8_000.0;
/// How many frames ago the sound is compared with.
const LAG: usize = 5;
/// Where the compression begins, against the loudest of the last seconds.
const KNEE: f32 = 1.0 / 400.0;
/// How fast the memory of the loudest sound fades: by half in ten seconds.
const REFERENCE_HALVES_IN_S: f64 = 10.0;
/// Below this nothing counts as sound: −70 dB of full scale.
const QUIETEST: f32 = 3e-4;

/// The length of a frame at a rate: the power of two nearest to 22 ms (1,024 samples at 44,100 and 48,000 a second).
pub(crate) fn frame_length(rate: SampleRate) -> usize {
    ((f64::from(rate.get()) * 0.018_6) as usize).next_power_of_two()
}

/// How far frames are apart: an eighth of their length.
pub(crate) fn hop(rate: SampleRate) -> usize {
    frame_length(rate) / 8
}

/// Makes one number of each frame.
#[derive(Debug)]
pub(crate) struct Novelty {
    spectrum: Spectrum,
    magnitudes: Box<[f32]>,
    bands: Box<[Band]>,
    /// The bands of the last frames, the oldest overwritten by the next.
    history: Box<[Box<[f32]>]>,
    next: usize,
    reference: f32,
    fade: f32,
}

/// A triangle over some bins.
#[derive(Debug)]
struct Band {
    first: usize,
    weights: Box<[f32]>,
}

impl Novelty {
    pub(crate) fn new(rate: SampleRate) -> Novelty {
        let length = frame_length(rate);
        let spectrum = Spectrum::new(length, length);
        let bands = bands(spectrum.bin_width(f64::from(rate.get())), spectrum.bins());
        let frames_a_second = f64::from(rate.get()) / hop(rate) as f64;
        Novelty {
            magnitudes: vec![0.0; spectrum.bins()].into(),
            history: (0..LAG).map(|_| vec![0.0; bands.len()].into()).collect(),
            bands,
            spectrum,
            next: 0,
            reference: 0.02,
            fade: 0.5f64.powf(1.0 / (REFERENCE_HALVES_IN_S * frames_a_second)) as f32,
        }
    }

    /// The novelty of the next frame, which `fill` writes: the mean growth of a band, in decades.
    pub(crate) fn of(&mut self, fill: impl FnOnce(&mut [f32])) -> f32 {
        self.spectrum.of(fill, &mut self.magnitudes);
        let loudest = self.magnitudes.iter().copied().fold(QUIETEST, f32::max);
        self.reference = (self.reference * self.fade).max(loudest);
        let scale = 1.0 / (self.reference * KNEE);
        // The oldest frame is compared with and then overwritten.
        let before = &mut self.history[self.next];
        let mut grown = 0.0;
        let mut last = 0.0f32;
        for index in 0..self.bands.len() {
            let band = &self.bands[index];
            let bins = &self.magnitudes[band.first..band.first + band.weights.len()];
            let magnitude: f32 = bins.iter().zip(&band.weights).map(|(bin, weight)| bin * weight).sum();
            let now = (1.0 + scale * magnitude).log10();
            let next = before.get(index + 1).copied().unwrap_or(0.0);
            let greatest = last.max(before[index]).max(next);
            grown += (now - greatest).max(0.0);
            last = before[index];
            before[index] = now;
        }
        self.next = (self.next + 1) % LAG;
        grown / self.bands.len().max(1) as f32
    }
}

/// Triangles of unit sum around frequencies a 24th of an octave apart; where they would share their bin, one band.
fn bands(bin_width: f64, bins: usize) -> Box<[Band]> {
    let highest = HIGHEST_HZ.min(bin_width * (bins - 1) as f64);
    let count = ((highest / LOWEST_HZ).log2() * BANDS_AN_OCTAVE).floor() as i32;
    let bin_of = |step: i32| {
        let hertz = LOWEST_HZ * (f64::from(step) / BANDS_AN_OCTAVE).exp2();
        ((hertz / bin_width).round() as usize).clamp(1, bins - 1)
    };
    let mut centres: Vec<usize> = (0..=count).map(bin_of).collect();
    centres.dedup();
    centres
        .windows(3)
        .map(|edges| {
            let (low, centre, high) = (edges[0], edges[1], edges[2]);
            let weight = |bin: usize| {
                if bin <= centre {
                    (bin - low) as f32 / (centre - low) as f32
                } else {
                    (high - bin) as f32 / (high - centre) as f32
                }
            };
            let weights: Vec<f32> = (low + 1..high).map(weight).collect();
            let sum: f32 = weights.iter().sum();
            Band { first: low + 1, weights: weights.into_iter().map(|weight| weight / sum).collect() }
        })
        .collect()
}
