//! Magnitude spectra.

use std::f64::consts::TAU;
use std::fmt;
use std::sync::Arc;

use realfft::num_complex::Complex;
use realfft::{RealFftPlanner, RealToComplex};

/// Turns a stretch of sound into magnitudes; all its memory is its own.
///
/// The stretch is weighted by a Hann window of its own length and may be shorter than the transform, which is then padded
/// with silence and interpolates between the stretch's own frequencies. A sine of amplitude 1 has magnitude 1.
pub(crate) struct Spectrum {
    transform: Arc<dyn RealToComplex<f32>>,
    window: Box<[f32]>,
    weight: f32,
    input: Box<[f32]>,
    output: Box<[Complex<f32>]>,
    scratch: Box<[Complex<f32>]>,
}

impl Spectrum {
    /// For stretches of `length` samples, padded to `padded`, which is at least as long.
    pub(crate) fn new(length: usize, padded: usize) -> Spectrum {
        let transform = RealFftPlanner::new().plan_fft_forward(padded.max(length));
        let window: Box<[f32]> = hann(length).collect();
        let sum: f32 = window.iter().sum();
        Spectrum {
            window,
            weight: 2.0 / sum,
            input: transform.make_input_vec().into(),
            output: transform.make_output_vec().into(),
            scratch: transform.make_scratch_vec().into(),
            transform,
        }
    }

    /// The length of the stretches.
    pub(crate) fn length(&self) -> usize {
        self.window.len()
    }

    /// How many magnitudes there are, from 0 Hz to half the sample rate.
    pub(crate) fn bins(&self) -> usize {
        self.output.len()
    }

    /// Hertz from one magnitude to the next.
    pub(crate) fn bin_width(&self, per_second: f64) -> f64 {
        per_second / self.input.len() as f64
    }

    /// The magnitudes of a stretch that `fill` writes. Neither allocates nor fails.
    pub(crate) fn of(&mut self, fill: impl FnOnce(&mut [f32]), magnitudes: &mut [f32]) {
        self.transform(fill);
        for (magnitude, value) in magnitudes.iter_mut().zip(&self.output) {
            *magnitude = value.norm() * self.weight;
        }
    }

    /// The same with phases, about the stretch's first sample.
    pub(crate) fn complex_of(&mut self, fill: impl FnOnce(&mut [f32]), values: &mut [Complex<f32>]) {
        self.transform(fill);
        for (kept, value) in values.iter_mut().zip(&self.output) {
            *kept = value * self.weight;
        }
    }

    fn transform(&mut self, fill: impl FnOnce(&mut [f32])) {
        let (stretch, padding) = self.input.split_at_mut(self.window.len());
        fill(stretch);
        for (sample, weight) in stretch.iter_mut().zip(&self.window) {
            *sample *= weight;
        }
        padding.fill(0.0);
        // The buffers were made by the transform itself, so their lengths fit and this can't fail; should it all the
        // same, the stretch counts as silent.
        if self.transform.process_with_scratch(&mut self.input, &mut self.output, &mut self.scratch).is_err() {
            self.output.fill(Complex::default());
        }
    }
}

impl fmt::Debug for Spectrum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Spectrum").field("length", &self.window.len()).field("padded", &self.input.len()).finish()
    }
}

/// The periodic Hann window.
pub(crate) fn hann(length: usize) -> impl Iterator<Item = f32> {
    (0..length).map(move |n| (0.5 - 0.5 * (TAU * n as f64 / length.max(1) as f64).cos()) as f32)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Arithmetic: a sine of amplitude 0.5 on a bin has magnitude 0.5 there and half of it on the bins beside (Hann).
    #[test]
    fn a_sine_has_its_amplitude() {
        let mut spectrum = Spectrum::new(1024, 1024);
        let mut magnitudes = vec![0.0; spectrum.bins()];
        let sine = |stretch: &mut [f32]| {
            for (n, sample) in stretch.iter_mut().enumerate() {
                *sample = 0.5 * (TAU * 64.0 * n as f64 / 1024.0).sin() as f32;
            }
        };
        spectrum.of(sine, &mut magnitudes);
        for (bin, expected) in [(62, 0.0), (63, 0.25), (64, 0.5), (65, 0.25), (66, 0.0)] {
            assert!((magnitudes[bin] - expected).abs() < 1e-4, "bin {bin}: {}", magnitudes[bin]);
        }
    }
}
