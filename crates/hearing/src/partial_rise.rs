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
        let (before, after) = (self.magnitudes(&self.before, hertz), self.magnitudes(&self.after, hertz));
        let loudest = after[..count].iter().copied().fold(0.0, f64::max);
        let knee = FAINTEST.0.max(FAINTEST.1 * loudest);
        for (partial, rise) in rises.iter_mut().enumerate().take(count) {
            *rise = ((after[partial] + knee) / (before[partial] + knee)).log10();
        }
        count
    }

    /// How strong each partial is in a stretch. All are followed side by side, so that the processor can do them at once.
    fn magnitudes(&self, stretch: &[f32], hertz: f64) -> [f64; PARTIALS] {
        let steps: [(f64, f64); PARTIALS] =
            std::array::from_fn(|partial| (TAU * hertz * (partial + 1) as f64 / self.per_second).sin_cos());
        let (step_sin, step_cos) = (steps.map(|step| step.0), steps.map(|step| step.1));
        let (mut sin, mut cos) = ([0.0f64; PARTIALS], [1.0f64; PARTIALS]);
        let (mut real, mut imaginary) = ([0.0f64; PARTIALS], [0.0f64; PARTIALS]);
        for (&sample, &weight) in stretch.iter().zip(&self.window) {
            let value = f64::from(sample * weight);
            for partial in 0..PARTIALS {
                real[partial] += value * cos[partial];
                imaginary[partial] += value * sin[partial];
                let turned = sin[partial] * step_cos[partial] + cos[partial] * step_sin[partial];
                cos[partial] = cos[partial] * step_cos[partial] - sin[partial] * step_sin[partial];
                sin[partial] = turned;
            }
        }
        std::array::from_fn(|partial| 4.0 * real[partial].hypot(imaginary[partial]) / stretch.len() as f64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::SampleIndex;
    use crate::recent::Excerpt;

    const PLUCKED: usize = 4_000;

    /// A string whose partials fall as 1, 1/2, 1/3 …, in silence until it is plucked.
    fn rises(hertz: f64) -> Vec<f64> {
        let rate = SampleRate::new(44_100).unwrap();
        let sample = |n: usize| {
            let turn = TAU * hertz * n as f64 / 44_100.0;
            let sound: f64 = (1..=6).map(f64::from).map(|k| 0.1 / k * (turn * k + k).sin()).sum();
            if n < PLUCKED { 0.0 } else { sound as f32 }
        };
        let samples: Vec<f32> = (0..3 * PLUCKED).map(sample).collect();
        let sound = Excerpt { starts: SampleIndex::new(0), samples: &samples };
        let mut rises = [0.0; PARTIALS];
        let count = PartialRise::new(rate).each_at(&sound, PLUCKED as i64, hertz, &mut rises);
        rises[..count].to_vec()
    }

    /// By hand: out of silence partial k rises from 3 % of the loudest to that and 1/k, by log10(1 + 1 / 0.03 k) decades: 1.536
    /// the first, 0.817 the sixth. Below 5,000 Hz a string of 2,000 Hz has two.
    #[test]
    fn each_partial_rises_by_its_own_strength() {
        let six = rises(440.0);
        assert_eq!(six.len(), 6);
        for (k, rise) in (1..).map(f64::from).zip(six) {
            let wanted = (1.0 + 1.0 / (0.03 * k)).log10();
            assert!((rise - wanted).abs() < 0.01, "partial {k}: {rise}, not {wanted}");
        }
        assert_eq!(rises(2_000.0).len(), 2);
    }
}
