//! How loud each of some bands is, frame by frame, against the room's noise and the loudest sound of late.

use crate::clock::{SampleIndex, SampleRate};
use crate::recent::{Excerpt, Sound};
use crate::spectrum::Spectrum;

/// How many bands there are.
pub const BANDS: usize = 57;
/// The centre of the lowest band: below the lowest string (A1, 55 Hz) there is only noise.
const LOWEST_HZ: f64 = 60.0;
/// Centres are so far apart at least: a frame tells nothing nearer apart than that,
const APART_HZ: f64 = 43.0;
/// and above that a twelfth of an octave, up to 8 kHz: there is little of a harp above.
const BANDS_AN_OCTAVE: f64 = 12.0;
/// How far above the noise a level begins to count.
const OVER_NOISE: f32 = 3.0;
/// How fast the noise is smoothed: over some 60 ms.
const NOISE_SMOOTHED: f32 = 0.05;
/// How fast the estimate of the noise rises a frame while the sound is louder: twofold in two seconds.
const NOISE_RISES: f32 = 1.001;
/// Over how many first frames the first estimate is made.
const NOISE_STARTS: usize = 24;
/// Where a level begins to count, against the loudest of the last seconds.
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

/// The levels of one frame, by bands from below: decades above what does not count.
pub(crate) type Levels = [f32; BANDS];

/// The levels of every frame of a sound, of which frame `n` is about sample `n` · [`hop`]: what onsets are learnt from.
pub fn frame_levels(rate: SampleRate, sound: &[f32]) -> (usize, Vec<[f32; BANDS]>) {
    let sound = Excerpt { starts: SampleIndex::new(0), samples: sound };
    let (mut levels, length, hop) = (BandLevels::new(rate), frame_length(rate), hop(rate));
    let starts = (0..sound.samples.len()).step_by(hop).map(|centre| centre as i64 - length as i64 / 2);
    (hop, starts.map(|from| levels.of(|stretch| sound.copy(from, stretch))).collect())
}

/// Measures levels.
#[derive(Debug)]
pub(crate) struct BandLevels {
    spectrum: Spectrum,
    magnitudes: Box<[f32]>,
    bands: [Band; BANDS],
    /// Each band over the last frames, smoothed, and the least that it was lately.
    smoothed: [f32; BANDS],
    floors: [f32; BANDS],
    count: usize,
    reference: f32,
    fade: f32,
}

/// A triangle over some bins; none above half the sample rate.
#[derive(Debug, Default)]
struct Band {
    first: usize,
    weights: Box<[f32]>,
}

impl BandLevels {
    pub(crate) fn new(rate: SampleRate) -> BandLevels {
        let length = frame_length(rate);
        let spectrum = Spectrum::new(length, length);
        let frames_a_second = f64::from(rate.get()) / hop(rate) as f64;
        BandLevels {
            magnitudes: vec![0.0; spectrum.bins()].into(),
            bands: bands(spectrum.bin_width(f64::from(rate.get())), spectrum.bins()),
            smoothed: [0.0; BANDS],
            floors: [0.0; BANDS],
            count: 0,
            reference: 0.02,
            fade: 0.5f64.powf(1.0 / (REFERENCE_HALVES_IN_S * frames_a_second)) as f32,
            spectrum,
        }
    }

    /// The levels of the next frame, which `fill` writes.
    pub(crate) fn of(&mut self, fill: impl FnOnce(&mut [f32])) -> Levels {
        self.spectrum.of(fill, &mut self.magnitudes);
        let loudest = self.magnitudes.iter().copied().fold(QUIETEST, f32::max);
        self.reference = (self.reference * self.fade).max(loudest);
        let mut levels = [0.0; BANDS];
        for (band, level) in self.bands.iter().zip(&mut levels) {
            let bins = &self.magnitudes[band.first..band.first + band.weights.len()];
            *level = bins.iter().zip(&band.weights).map(|(bin, weight)| bin * weight).sum();
        }
        self.count += 1;
        self.follow_noise(&levels);
        for (level, floor) in levels.iter_mut().zip(&self.floors) {
            let knee = (self.reference * KNEE).max(floor * OVER_NOISE);
            *level = (1.0 + *level / knee).log10();
        }
        levels
    }

    /// Follows the least that each band was lately.
    fn follow_noise(&mut self, newest: &Levels) {
        let first = self.count <= NOISE_STARTS;
        for ((smoothed, floor), &now) in self.smoothed.iter_mut().zip(&mut self.floors).zip(newest) {
            *smoothed += (now - *smoothed) * if first { 1.0 / self.count as f32 } else { NOISE_SMOOTHED };
            *floor = if first { *smoothed } else { smoothed.min(*floor * NOISE_RISES) };
        }
    }
}

/// Triangles of unit sum from one centre to the next but one.
fn bands(bin_width: f64, bins: usize) -> [Band; BANDS] {
    let mut centres = [LOWEST_HZ - APART_HZ; BANDS + 2];
    for n in 1..centres.len() {
        centres[n] = (centres[n - 1] + APART_HZ).max(centres[n - 1] * BANDS_AN_OCTAVE.recip().exp2());
    }
    std::array::from_fn(|band| {
        let (low, centre, high) = (centres[band], centres[band + 1], centres[band + 2]);
        let (below, above) = ((centre - low).max(bin_width), (high - centre).max(bin_width));
        let first = ((centre - below) / bin_width).ceil().max(1.0) as usize;
        let weight = |bin: usize| {
            let away = bin as f64 * bin_width - centre;
            (1.0 - if away < 0.0 { -away / below } else { away / above }).max(0.0)
        };
        let last = ((centre + above) / bin_width).floor() as usize;
        if last >= bins {
            return Band::default();
        }
        let weights: Vec<f64> = (first..=last).map(weight).collect();
        let sum: f64 = weights.iter().sum();
        Band { first, weights: weights.iter().map(|weight| (weight / sum) as f32).collect() }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By arithmetic: the centres are 43 Hz apart up to where a twelfth of an octave is more (724 Hz), and no higher than
    /// 8 kHz. A sine is loudest in the band whose centre is nearest, and silence has no level.
    #[test]
    fn a_sine_is_loudest_in_its_band() {
        let rate = SampleRate::new(44_100).unwrap();
        for (hertz, band) in [(103.0, 1), (275.0, 5), (2_000.0, 33)] {
            let sine = |n: usize| (0.1 * (std::f64::consts::TAU * hertz * n as f64 / 44_100.0).sin()) as f32;
            let samples: Vec<f32> = (0..20_000).map(|n| if n < 10_000 { 0.0 } else { sine(n) }).collect();
            let (hop, frames) = frame_levels(rate, &samples);
            assert_eq!(hop, 128);
            assert!(frames[30].iter().all(|level| *level == 0.0), "{hertz}");
            let sounding = &frames[120];
            let loudest = (0..BANDS).max_by(|&a, &b| sounding[a].total_cmp(&sounding[b])).unwrap();
            assert_eq!(loudest, band, "{hertz}: {sounding:?}");
        }
    }
}
