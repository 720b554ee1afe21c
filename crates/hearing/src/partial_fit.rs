//! How strong single partials are in a stretch of sound, with the partials of other strings beside them taken off.
//!
//! Sines of known frequencies are fitted to the stretch together, by least squares under a Hann window. About the middle of
//! the stretch the window's transform is real, and only sines a few bins apart have anything to do with each other: so each
//! partial is fitted with its nearest neighbours alone.

use std::f64::consts::PI;

use realfft::num_complex::Complex;

use leverlane_core::time::Seconds;

use crate::clock::SampleRate;
use crate::recent::Sound;
use crate::spectrum::Spectrum;

/// How far apart two sines have to do with each other, in bins of the stretch (the Hann window's main lobe is 2).
const NEIGHBOURHOOD: f64 = 3.0;
/// No more neighbours are fitted with a partial.
const MOST_NEIGHBOURS: usize = 6;
/// Neighbours that can't be told apart share what is there.
const SHARED_OUT: f64 = 0.02;
/// What neighbours leave of a partial is not made larger than so many times.
const LEAST_OWN: f64 = 0.1;

/// A partial as it was fitted.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct FittedPartial {
    /// Its amplitude, full scale being 1.
    pub(crate) amplitude: f64,
    /// How much of it no neighbour can take for its own, 0 to 1.
    pub(crate) own: f64,
}

/// Fits partials in stretches of one length.
#[derive(Debug)]
pub(crate) struct PartialFit {
    per_second: f64,
    spectrum: Spectrum,
    values: Box<[Complex<f32>]>,
}

impl PartialFit {
    pub(crate) fn new(rate: SampleRate, stretch: Seconds) -> PartialFit {
        let length = rate.samples_in(stretch).max(64);
        let spectrum = Spectrum::new(length, (4 * length).next_power_of_two());
        let values = vec![Complex::default(); spectrum.bins()].into();
        PartialFit { per_second: f64::from(rate.get()), spectrum, values }
    }

    pub(crate) fn per_second(&self) -> f64 {
        self.per_second
    }

    pub(crate) fn length(&self) -> i64 {
        self.spectrum.length() as i64
    }

    /// Looks at the stretch from a sample on.
    pub(crate) fn look(&mut self, sound: &impl Sound, from: i64) {
        self.spectrum.complex_of(|stretch| sound.copy(from, stretch), &mut self.values);
    }

    /// The sine of a frequency in the stretch: amplitude, and phase about its middle.
    fn at(&self, hertz: f64) -> Complex<f64> {
        let width = self.spectrum.bin_width(self.per_second);
        let place = hertz / width;
        let (bin, share) = (place.floor() as usize, place.fract());
        let turned = |bin: usize| {
            let value = self.values.get(bin).copied().unwrap_or_default();
            let turn = PI * bin as f64 * width * self.length() as f64 / self.per_second;
            Complex::new(f64::from(value.re), f64::from(value.im)) * Complex::from_polar(1.0, turn)
        };
        turned(bin) * (1.0 - share) + turned(bin + 1) * share
    }

    /// The Hann window's transform, 1 at 0, of a distance in hertz.
    fn lobe(&self, hertz: f64) -> f64 {
        let x = (hertz * self.length() as f64 / self.per_second).abs();
        match x {
            x if x < 1e-6 => 1.0,
            x if (x - 1.0).abs() < 1e-6 => 0.5,
            x => (PI * x).sin() / (PI * x * (1.0 - x * x)),
        }
    }

    /// A partial at a frequency, fitted together with those of `others` that are near it.
    pub(crate) fn fit(&self, hertz: f64, others: &[f64]) -> FittedPartial {
        let reach = NEIGHBOURHOOD * self.per_second / self.length() as f64;
        let mut near = [0.0; MOST_NEIGHBOURS];
        let mut count = 0;
        let from = others.partition_point(|other| *other < hertz - reach);
        for &other in others[from..].iter().take_while(|other| **other <= hertz + reach).take(MOST_NEIGHBOURS) {
            near[count] = other;
            count += 1;
        }
        let near = &near[..count];
        let mut own = 1.0;
        let mut rest = self.at(hertz);
        if count > 0 {
            let shares = self.shares(hertz, near);
            for (&other, &share) in near.iter().zip(&shares) {
                own -= share * self.lobe(hertz - other);
                rest -= self.at(other) * share;
            }
        }
        FittedPartial { amplitude: rest.norm() / own.max(LEAST_OWN), own: own.clamp(0.0, 1.0) }
    }

    /// How much of each neighbour a sine at a frequency is made of, as far as it can be.
    fn shares(&self, hertz: f64, near: &[f64]) -> [f64; MOST_NEIGHBOURS] {
        let count = near.len();
        let mut rows = [[0.0; MOST_NEIGHBOURS + 1]; MOST_NEIGHBOURS];
        for row in 0..count {
            for column in 0..count {
                rows[row][column] = self.lobe(near[row] - near[column]) + if row == column { SHARED_OUT } else { 0.0 };
            }
            rows[row][count] = self.lobe(hertz - near[row]);
        }
        // Gauss's elimination; the matrix is positive definite, so no row has to be exchanged.
        for pivot in 0..count {
            let row_of_pivot = rows[pivot];
            for row in rows.iter_mut().take(count).skip(pivot + 1) {
                let factor = row[pivot] / row_of_pivot[pivot];
                for column in pivot..=count {
                    row[column] -= factor * row_of_pivot[column];
                }
            }
        }
        let mut shares = [0.0; MOST_NEIGHBOURS];
        for row in (0..count).rev() {
            let known: f64 = (row + 1..count).map(|column| rows[row][column] * shares[column]).sum();
            shares[row] = (rows[row][count] - known) / rows[row][row];
        }
        shares
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::SampleIndex;
    use crate::recent::Excerpt;
    use std::f64::consts::TAU;

    /// Arithmetic: two sines, 4 Hz apart, of 0.3 and 0.1, in 0.372 s, whose bins are 2.7 Hz wide. Either is found as strong
    /// as it is once the other is known, and nothing is found where nothing is; a sine on a neighbour's place can't be told.
    #[test]
    fn sines_beside_each_other_are_told_apart() {
        let rate = SampleRate::new(44_100).unwrap();
        let mut fit = PartialFit::new(rate, Seconds::new(0.372));
        let samples: Vec<f32> = (0..20_000)
            .map(|n| {
                let time = f64::from(n) / 44_100.0;
                (0.3 * (TAU * 440.0 * time + 1.0).sin() + 0.1 * (TAU * 444.0 * time + 2.0).sin()) as f32
            })
            .collect();
        fit.look(&Excerpt { starts: SampleIndex::new(0), samples: &samples }, 1_000);
        let loud = fit.fit(440.0, &[444.0]);
        let soft = fit.fit(444.0, &[440.0]);
        let none = fit.fit(448.0, &[440.0, 444.0]);
        assert!((loud.amplitude - 0.3).abs() < 0.01, "{loud:?}");
        assert!((soft.amplitude - 0.1).abs() < 0.01, "{soft:?}");
        assert!(none.amplitude < 0.01, "{none:?}");
        assert!(fit.fit(440.0, &[]).own == 1.0 && fit.fit(440.0, &[440.1]).own < 0.05);
    }
}
