//! When the partials of one note rise: what tells the strings of a rolled chord apart.

use std::f64::consts::TAU;

use leverlane_core::time::Seconds;

use crate::clock::SampleRate;
use crate::recent::Sound;
use crate::spectrum::hann;

/// The stretch before and after a moment whose partials are compared.
const STRETCH: Seconds = Seconds::new(0.022);
/// So many partials are followed.
pub(crate) const PARTIALS: usize = 6;
/// Partials above this are not followed.
const HIGHEST_HZ: f64 = 5_000.0;
/// Where a partial begins to count, against full scale (−74 dB) and against the loudest partial.
const FAINTEST: (f64, f64) = (2e-4, 0.03);

/// Compares single partials before and after a moment.
#[derive(Debug)]
pub(crate) struct PartialRise {
    per_second: f64,
    window: Box<[f32]>,
    before: Box<[f32]>,
    after: Box<[f32]>,
}

impl PartialRise {
    pub(crate) fn new(rate: SampleRate) -> PartialRise {
        PartialRise::of(rate, STRETCH)
    }

    /// With a stretch of another length.
    pub(crate) fn of(rate: SampleRate, stretch: Seconds) -> PartialRise {
        let length = rate.samples_in(stretch);
        let stretch = || vec![0.0; length].into();
        PartialRise {
            per_second: f64::from(rate.get()),
            window: hann(length).collect(),
            before: stretch(),
            after: stretch(),
        }
    }

    /// By how many decades the partials of a pitch rise at a moment, on the mean.
    pub(crate) fn at(&mut self, sound: &impl Sound, moment: i64, hertz: f64) -> f64 {
        let mut rises = [0.0; PARTIALS];
        let count = self.each_at(sound, moment, hertz, &mut rises);
        rises[..count].iter().sum::<f64>() / count as f64
    }

    /// By how many decades each partial rises; how many of them there are.
    pub(crate) fn each_at(
        &mut self,
        sound: &impl Sound,
        moment: i64,
        hertz: f64,
        rises: &mut [f64; PARTIALS],
    ) -> usize {
        let length = self.window.len() as i64;
        sound.copy(moment - length, &mut self.before);
        sound.copy(moment, &mut self.after);
        let count = ((HIGHEST_HZ.min(self.per_second * 0.45) / hertz) as usize).clamp(1, PARTIALS);
        let (mut before, mut after) = ([0.0; PARTIALS], [0.0; PARTIALS]);
        for partial in 0..count {
            let frequency = hertz * (partial + 1) as f64;
            before[partial] = self.magnitude(&self.before, frequency);
            after[partial] = self.magnitude(&self.after, frequency);
        }
        let loudest = after.iter().copied().fold(0.0, f64::max);
        let knee = FAINTEST.0.max(FAINTEST.1 * loudest);
        for (partial, rise) in rises.iter_mut().enumerate().take(count) {
            *rise = ((after[partial] + knee) / (before[partial] + knee)).log10();
        }
        count
    }

    fn magnitude(&self, stretch: &[f32], hertz: f64) -> f64 {
        let turn = TAU * hertz / self.per_second;
        let (step_sin, step_cos) = turn.sin_cos();
        let (mut sin, mut cos) = (0.0f64, 1.0f64);
        let (mut real, mut imaginary) = (0.0f64, 0.0f64);
        for (&sample, &weight) in stretch.iter().zip(&self.window) {
            let value = f64::from(sample * weight);
            real += value * cos;
            imaginary += value * sin;
            (sin, cos) = (sin * step_cos + cos * step_sin, cos * step_cos - sin * step_sin);
        }
        4.0 * real.hypot(imaginary) / stretch.len() as f64
    }
}
