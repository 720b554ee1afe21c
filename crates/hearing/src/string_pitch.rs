//! The pitch of a string that is known to sound.
//!
//! A string is stiff: its partials lie at f_n = n · f_0 · √(1 + B·n²) (Fletcher 1964). The partials' exact places are read
//! from a spectrum and f_0 and B are fitted to them, partials that don't fit counting less.

use leverlane_core::harp::Stiffness;
use leverlane_core::pitch::Hertz;
use leverlane_core::time::Seconds;

use crate::clock::{SampleIndex, SampleRate};
use crate::recent::{Excerpt, Sound};
use crate::spectrum::Spectrum;

/// So many partials are looked at.
const PARTIALS: usize = 10;
/// Partials above this are not looked at.
const HIGHEST_HZ: f64 = 5_500.0;
/// The stiffness of nylon harp strings lies around this, by about as much (assumed gauges, C3 to C6: 0.8 to 2 · 10⁻⁴).
const USUAL_STIFFNESS: f64 = 1.0e-4;
/// In which steps the fundamental is first looked for.
const STEP_CENTS: f64 = 4.0;
/// How far from its expected place a partial is looked for.
const PARTIAL_REACH_CENTS: f64 = 22.0;
/// A partial this much fainter than the loudest says nothing (−46 dB).
const FAINTEST: f64 = 0.005;

/// A string's pitch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StringPitch {
    /// The fundamental of the fit.
    pub hertz: Hertz,
    /// How well the partials agree on it: their distance from the fit in cents, on the mean.
    pub disagreement: f64,
    /// How stiff the string is by its partials, held near what is usual where they say little.
    pub stiffness: Stiffness,
    /// The loudest partial's amplitude, full scale being 1.
    pub loudness: f64,
}

/// Reads pitches from stretches of one length.
#[derive(Debug)]
pub struct PitchReader {
    rate: SampleRate,
    spectrum: Spectrum,
    magnitudes: Box<[f32]>,
}

/// A partial as it was found.
#[derive(Clone, Copy, Debug, Default)]
struct Partial {
    number: f64,
    hertz: f64,
    amplitude: f64,
}

impl PitchReader {
    /// For stretches of a length; 0.37 s is enough for half a cent from C3 up.
    pub fn new(rate: SampleRate, stretch: Seconds) -> PitchReader {
        let length = rate.samples_in(stretch).max(64);
        let spectrum = Spectrum::new(length, (3 * length).next_power_of_two());
        PitchReader { rate, magnitudes: vec![0.0; spectrum.bins()].into(), spectrum }
    }

    /// The pitch of a string between two frequencies, from a sample on; none where nothing sounds there.
    pub fn read(&mut self, sound: Excerpt<'_>, from: SampleIndex, between: (Hertz, Hertz)) -> Option<StringPitch> {
        self.spectrum.of(|stretch| sound.copy(from.get() as i64, stretch), &mut self.magnitudes);
        let fundamental = self.roughly(between)?;
        let mut partials = [Partial::default(); PARTIALS];
        let count = self.partials(fundamental, &mut partials);
        let (hertz, stiffness, disagreement) = fit(&partials[..count], fundamental)?;
        let loudness = partials[..count].iter().map(|partial| partial.amplitude).fold(0.0, f64::max);
        Some(StringPitch { hertz: Hertz::new(hertz)?, disagreement, stiffness, loudness })
    }

    fn width(&self) -> f64 {
        self.spectrum.bin_width(f64::from(self.rate.get()))
    }

    /// The fundamental whose partials' places hold most, each partial counting by the root of its magnitude.
    fn roughly(&self, between: (Hertz, Hertz)) -> Option<f64> {
        let (low, high) = (between.0.get(), between.1.get());
        let steps = (1200.0 * (high / low).log2() / STEP_CENTS).ceil().max(1.0) as u32;
        let place = |step: u32| low * (high / low).powf(f64::from(step) / f64::from(steps));
        let weight =
            |hertz: f64| -> f64 { numbers(hertz).map(|n| self.magnitude(stretched(n, hertz)).sqrt() / n.sqrt()).sum() };
        (0..=steps).map(place).map(|hertz| (hertz, weight(hertz))).max_by(|a, b| a.1.total_cmp(&b.1)).map(|best| best.0)
    }

    /// The magnitude at a frequency, between bins in a straight line.
    fn magnitude(&self, hertz: f64) -> f64 {
        let place = hertz / self.width();
        let (bin, share) = (place.floor() as usize, place.fract());
        let at = |bin: usize| f64::from(self.magnitudes.get(bin).copied().unwrap_or(0.0));
        at(bin) * (1.0 - share) + at(bin + 1) * share
    }

    fn partials(&self, fundamental: f64, partials: &mut [Partial; PARTIALS]) -> usize {
        let width = self.width();
        let mut count = 0;
        for number in numbers(fundamental) {
            let expected = stretched(number, fundamental);
            let reach = (expected * PARTIAL_REACH_CENTS / 1731.0).max(1.5 * width);
            let (low, high) = (((expected - reach) / width).ceil() as usize, ((expected + reach) / width) as usize);
            let magnitude = |bin: usize| self.magnitudes.get(bin).copied().unwrap_or(0.0);
            let Some(peak) = (low.max(1)..=high).max_by(|&a, &b| magnitude(a).total_cmp(&magnitude(b))) else {
                continue;
            };
            let [left, middle, right] = [peak - 1, peak, peak + 1].map(|bin| f64::from(magnitude(bin)).max(1e-12).ln());
            let curve = left - 2.0 * middle + right;
            // On the edge of the reach it is somebody else's slope.
            if curve >= 0.0 || left > middle || right > middle {
                continue;
            }
            let shift = 0.5 * (left - right) / curve;
            partials[count] =
                Partial { number, hertz: (peak as f64 + shift) * width, amplitude: f64::from(magnitude(peak)) };
            count += 1;
        }
        count
    }
}

/// The numbers of the partials that are looked at.
fn numbers(fundamental: f64) -> impl Iterator<Item = f64> {
    (1..=PARTIALS).map(|n| n as f64).take_while(move |n| n * fundamental < HIGHEST_HZ || *n < 2.0)
}

/// Where a partial of a string of usual stiffness lies.
fn stretched(number: f64, fundamental: f64) -> f64 {
    number * fundamental * (1.0 + USUAL_STIFFNESS * number * number).sqrt()
}

/// Fits (f_n / n)² = F + F·B·n², with F = f_0², by least squares whose weights are made anew three times. Returns the
/// fundamental, the stiffness B and the mean distance of the partials in cents.
fn fit(partials: &[Partial], roughly: f64) -> Option<(f64, Stiffness, f64)> {
    let loudest = partials.iter().map(|partial| partial.amplitude).fold(0.0, f64::max);
    let usable = |partial: &&Partial| partial.amplitude >= FAINTEST * loudest && loudest > 1e-6;
    let squares = roughly * roughly;
    let (mut level, mut slope) = (squares, squares * USUAL_STIFFNESS);
    let distance = |partial: &Partial, level: f64, slope: f64| {
        let expected = partial.number * (level + slope * partial.number * partial.number).max(1.0).sqrt();
        1200.0 * (partial.hertz / expected).log2()
    };
    let mut disagreement = f64::INFINITY;
    for _ in 0..4 {
        // Unknowns: the level, and the slope held near its usual value by a prior.
        let prior = 1.0 / (squares * 1.0e-4).powi(2);
        let (mut a, mut b, mut c) = (0.0, 0.0, prior);
        let (mut d, mut e) = (0.0, prior * squares * USUAL_STIFFNESS);
        let (mut sum, mut weights) = (0.0, 0.0);
        for partial in partials.iter().filter(usable) {
            let off = distance(partial, level, slope);
            let robust = 1.0 / (1.0 + (off / 3.0).powi(2));
            // The n-th partial tells the fundamental n times as exactly, a loud one better than a faint one.
            let weight = robust * partial.number * (partial.amplitude / loudest).sqrt();
            let n2 = partial.number * partial.number;
            let y = (partial.hertz / partial.number).powi(2);
            // In units of half a cent of the level.
            let scale = weight / (squares * 5.8e-4).powi(2);
            a += scale;
            b += scale * n2;
            c += scale * n2 * n2;
            d += scale * y;
            e += scale * n2 * y;
            sum += weight * off.abs();
            weights += weight;
        }
        let determinant = a * c - b * b;
        if a <= 0.0 || determinant.abs() < f64::MIN_POSITIVE {
            return None;
        }
        level = (d * c - b * e) / determinant;
        slope = (a * e - b * d) / determinant;
        disagreement = sum / weights;
    }
    if level <= 0.0 {
        return None;
    }
    let stiffness = Stiffness::new((slope / level).clamp(0.0, *Stiffness::RANGE.end()))?;
    Some(((level + slope.max(0.0)).sqrt(), stiffness, disagreement))
}

#[cfg(test)]
mod tests {
    use super::*;
    use leverlane_core::pitch::Cents;
    use std::f64::consts::TAU;

    /// Truth: the synthetic string's own first partial, f_0·√(1 + B). Strings as in the assumed gauges, C3 to C6, ten
    /// fading partials; the target is 0.5 cents.
    #[test]
    fn the_pitch_of_a_stiff_string_is_read_to_half_a_cent() {
        let rate = SampleRate::new(44_100).unwrap();
        let mut reader = PitchReader::new(rate, Seconds::new(0.372));
        for (hertz, stiffness) in [(130.81, 1.2e-4), (261.63, 8e-5), (523.25, 1.1e-4), (1046.5, 2e-4)] {
            for cents in [-40.0, -13.0, 0.0, 7.0, 31.0] {
                let f0 = hertz * (cents / 1200.0f64).exp2();
                let samples: Vec<f32> = (0..22_050)
                    .map(|n| {
                        let time = f64::from(n) / 44_100.0;
                        let partial = |k: f64| {
                            let f = k * f0 * (1.0 + stiffness * k * k).sqrt();
                            (TAU * f * time + k).sin() * (-time * (1.0 + k)).exp() / k
                        };
                        (0.1 * (1..=10).map(|k| partial(f64::from(k))).sum::<f64>()) as f32
                    })
                    .collect();
                let sound = Excerpt { starts: SampleIndex::new(0), samples: &samples };
                let open = Hertz::new(hertz).unwrap();
                let between = (open.raised_by(Cents::new(-70.0)), open.raised_by(Cents::new(70.0)));
                let pitch = reader.read(sound, SampleIndex::new(2_000), between).unwrap();
                let error = pitch.hertz.above(Hertz::new(f0 * (1.0 + stiffness).sqrt()).unwrap());
                let found = pitch.stiffness.get();
                assert!((found / stiffness - 1.0).abs() < 0.3, "{hertz} Hz and {cents} cents: B {found}");
                assert!(error.get().abs() < 0.5, "{hertz} Hz and {cents} cents: {error:?}");
            }
        }
    }
}
