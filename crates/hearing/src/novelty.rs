//! How much new sound there is, moment by moment.
//!
//! The method is that of Böck and Widmer (2013, "Maximum filter vibrato suppression for onset detection"): magnitudes in
//! bands of a 24th of an octave are compared with the greatest of three bands some frames ago, and what has grown counts.
//! Ours counts a band only at the frame where it rises most steeply, which is where the middle of the frame's window
//! passes the attack, whatever the band: the bands of one pluck then fall on one moment, and those of the next one, 30 ms
//! later in a rolled chord, on another. Growth near the room's noise does not count.

use crate::clock::SampleRate;
use crate::spectrum::Spectrum;

/// Bands an octave.
const BANDS_AN_OCTAVE: f64 = 24.0;
/// The lowest band's frequency: below the lowest string (A1, 55 Hz) there is only noise.
const LOWEST_HZ: f64 = 50.0;
/// The highest band's frequency. Above it there is little of a harp, and the click's own burst.
const HIGHEST_HZ: f64 = 8_000.0;
/// Over how many frames to either side growth is measured.
const REACH: usize = 4;
/// How many frames to either side the steepest moment of a band is the steepest of.
const STEEPEST_OF: usize = 3;
/// Over how many frames the steepest moments of the bands of one pluck are gathered.
const SMOOTHED: usize = 5;
/// How many frames come before the first whose novelty means something: those that reach back before the first sample,
/// and those that are compared with them.
const WARM_UP: usize = 4 + REACH + REACH + 2;
/// How far above the noise growth begins to count.
const OVER_NOISE: f32 = 3.0;
/// How fast the noise is smoothed: over some 60 ms.
const NOISE_SMOOTHED: f32 = 0.05;
/// How fast the estimate of the noise rises a frame while the sound is louder: twofold in two seconds.
const NOISE_RISES: f32 = 1.001;
/// Over how many first frames the first estimate is made.
const NOISE_STARTS: usize = 24;
/// How much the frames count in that.
const GATHERING: [f32; SMOOTHED] = [0.5, 1.0, 1.0, 1.0, 0.5];
/// How many frames are remembered.
const REMEMBERED: usize = 16;
/// Where growth begins to count, against the loudest of the last seconds.
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

/// How many frames after a frame its novelty is known.
pub(crate) const DELAY: u64 = REACH as u64 + 1 + SMOOTHED as u64 / 2;

/// Makes one number of each frame.
#[derive(Debug)]
pub(crate) struct Novelty {
    spectrum: Spectrum,
    magnitudes: Box<[f32]>,
    bands: Box<[Band]>,
    /// The bands of the last frames, one row a frame; the oldest is overwritten by the next.
    history: Box<[f32]>,
    /// Each band's magnitude over the last frames, smoothed, and the least that it was lately.
    smoothed: Box<[f32]>,
    floors: Box<[f32]>,
    count: usize,
    gathered: [f32; SMOOTHED],
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
            history: vec![0.0; REMEMBERED * bands.len()].into(),
            smoothed: vec![0.0; bands.len()].into(),
            floors: vec![0.0; bands.len()].into(),
            bands,
            spectrum,
            count: 0,
            gathered: [0.0; SMOOTHED],
            reference: 0.02,
            fade: 0.5f64.powf(1.0 / (REFERENCE_HALVES_IN_S * frames_a_second)) as f32,
        }
    }

    /// Takes the next frame, which `fill` writes, and gives the novelty of the frame [`DELAY`] frames ago: the mean
    /// growth, in decades, of the bands that rose most steeply at that frame.
    pub(crate) fn of(&mut self, fill: impl FnOnce(&mut [f32])) -> f32 {
        self.spectrum.of(fill, &mut self.magnitudes);
        let loudest = self.magnitudes.iter().copied().fold(QUIETEST, f32::max);
        self.reference = (self.reference * self.fade).max(loudest);
        let width = self.bands.len();
        let row = self.count % REMEMBERED * width;
        for (band, place) in self.bands.iter().zip(&mut self.history[row..row + width]) {
            let bins = &self.magnitudes[band.first..band.first + band.weights.len()];
            *place = bins.iter().zip(&band.weights).map(|(bin, weight)| bin * weight).sum();
        }
        self.count += 1;
        self.follow_noise(row);
        let frame = self.count + REMEMBERED - 2 - REACH;
        let at = |frame: usize, band: usize| self.history[frame % REMEMBERED * width + band];
        let mut grown = 0.0;
        // Before the first frames that hold only sound there is nothing to compare with.
        let compared = if self.count > WARM_UP { width } else { 0 };
        for band in 0..compared {
            let steepness = |frame: usize| at(frame + 1, band) - at(frame - 1, band);
            let steepest = steepness(frame);
            let is_peak =
                (1..=STEEPEST_OF).all(|n| steepness(frame - n) < steepest && steepness(frame + n) <= steepest);
            if steepest <= 0.0 || !is_peak {
                continue;
            }
            let beside = [band.saturating_sub(1), band, (band + 1).min(width - 1)];
            let before = beside.map(|band| at(frame - REACH, band)).into_iter().fold(0.0, f32::max);
            let after = at(frame + REACH, band);
            let knee = (self.reference * KNEE).max(self.floors[band] * OVER_NOISE);
            grown += ((knee + after) / (knee + before)).log10().max(0.0);
        }
        self.gathered.rotate_left(1);
        self.gathered[SMOOTHED - 1] = grown / width.max(1) as f32;
        self.gathered.iter().zip(GATHERING).map(|(grown, weight)| grown * weight).sum()
    }

    /// Follows the least that each band was lately, with the row of the newest frame.
    fn follow_noise(&mut self, row: usize) {
        let newest = &self.history[row..row + self.bands.len()];
        let first = self.count <= NOISE_STARTS;
        for ((smoothed, floor), &now) in self.smoothed.iter_mut().zip(&mut self.floors).zip(newest) {
            *smoothed += (now - *smoothed) * if first { 1.0 / self.count as f32 } else { NOISE_SMOOTHED };
            *floor = if first { *smoothed } else { smoothed.min(*floor * NOISE_RISES) };
        }
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
