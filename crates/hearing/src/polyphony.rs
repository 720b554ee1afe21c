//! Which notes are in a sound, one after the other, the clearest first.
//!
//! The method is Klapuri's (2006, "Multiple fundamental frequency estimation by summing harmonic amplitudes"): the
//! spectrum is evened out, each pitch is weighed by the sum of its partials, the weightiest is taken, its partials are
//! taken away, and so on.

use leverlane_core::pitch::{Cents, Hertz};

use crate::growth::Growth;

/// No more notes than this are found at one moment: two hands of four playing fingers.
pub(crate) const MOST_NOTES: usize = 8;
/// Pitches are tried so many cents apart.
const STEP_CENTS: f64 = 10.0;
/// So many partials are summed.
const PARTIALS: usize = 10;
/// How much of the spectrum's slope is evened out: 1 is all of it.
const EVENED: f32 = 0.67;
/// Klapuri's two constants of the weights, in hertz.
const WEIGHT_HZ: (f64, f64) = (27.0, 320.0);
/// How much of a found note's partials is taken away.
const TAKEN: f32 = 0.9;
/// The least weight of a further note, against the first.
const LEAST: f32 = 0.30;
/// How faint the loudest partial of a note may be, against the loudest of the moment (−28 dB).
const FAINTEST: f32 = 0.04;
/// By how much of itself a partial may lie off its place: a string's stiffness, and the step in which pitches are tried.
const STRETCHED: f64 = 0.006;
/// Half a semitone: how far from its note a pitch may lie.
const HALF: f64 = 50.0;

/// A pitch found in a sound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Pitch {
    pub(crate) hertz: f64,
    /// How much it weighs against the weightiest, 0 to 1.
    pub(crate) weight: f32,
}

/// Where pitches are looked for.
#[derive(Debug)]
pub(crate) struct Polyphony {
    /// The pitches that are tried, from below, with how likely they are beforehand.
    tried: Box<[(f64, f32)]>,
    evened: Box<[f32]>,
    sums: Box<[f64]>,
}

impl Polyphony {
    /// Looks for pitches from A1 to a little above C7 whatever the harp, and takes those near one of `likely` more
    /// readily.
    pub(crate) fn new(bins: usize, likely: &[Hertz]) -> Polyphony {
        let steps = (69.0 * 100.0 / STEP_CENTS) as i32;
        let lowest = 54.0;
        let tried = (0..steps).map(|step| {
            let hertz = lowest * (f64::from(step) * STEP_CENTS / 1200.0).exp2();
            let near = |likely: &Hertz| (1200.0 * (hertz / likely.get()).log2()).abs() <= HALF;
            (hertz, if likely.is_empty() || likely.iter().any(near) { 1.0 } else { UNLIKELY })
        });
        Polyphony { tried: tried.collect(), evened: vec![0.0; bins].into(), sums: vec![0.0; bins + 1].into() }
    }

    /// The notes that are new in a sound; how many there are comes back.
    pub(crate) fn find(&mut self, growth: &Growth, found: &mut [Pitch; MOST_NOTES]) -> usize {
        let loudest = growth.grown().iter().copied().fold(0.0, f32::max);
        if loudest <= 1e-6 {
            return 0;
        }
        self.even_out(growth.grown(), loudest);
        let (width, lobe) = (growth.bin_width(), growth.lobe());
        let (mut count, mut first, mut rounds) = (0, 0.0f32, 0);
        while count < MOST_NOTES && rounds < 2 * MOST_NOTES {
            rounds += 1;
            let weigh = |&(hertz, likely): &(f64, f32)| (hertz, likely * self.salience(hertz, width));
            let best = self.tried.iter().map(weigh).max_by(|a, b| a.1.total_cmp(&b.1));
            let Some((hertz, salience)) = best else { break };
            first = first.max(salience);
            if salience <= 0.0 || salience < LEAST * first {
                break;
            }
            let loudest_partial = self.loudest_partial(growth.grown(), hertz / width);
            self.take_away(hertz / width, lobe);
            if loudest_partial < FAINTEST * loudest {
                continue;
            }
            let same = |other: &Pitch| (1200.0 * (other.hertz / hertz).log2()).abs() < 1.4 * HALF;
            if !found[..count].iter().any(same) {
                found[count] = Pitch { hertz, weight: salience / first };
                count += 1;
            }
        }
        count
    }

    /// Divides each frequency by a power of the loudness around it.
    fn even_out(&mut self, grown: &[f32], loudest: f32) {
        self.sums[0] = 0.0;
        for (bin, &magnitude) in grown.iter().enumerate() {
            self.sums[bin + 1] = self.sums[bin] + f64::from(magnitude * magnitude);
        }
        for (bin, evened) in self.evened.iter_mut().enumerate() {
            let (low, high) = (bin * 2 / 3, (bin * 3 / 2 + 8).min(grown.len()));
            let mean = (self.sums[high] - self.sums[low]) / (high - low).max(1) as f64;
            let around = (mean.sqrt() as f32).max(loudest * 0.003);
            *evened = grown[bin] * around.powf(-EVENED);
        }
    }

    /// How loud the loudest of a pitch's first partials is.
    fn loudest_partial(&self, grown: &[f32], place: f64) -> f32 {
        let partials = (1..=4).map(|partial| (place * f64::from(partial)).round() as usize);
        partials.filter_map(|bin| grown.get(bin - 1..=bin + 1)).flatten().copied().fold(0.0, f32::max)
    }

    fn salience(&self, hertz: f64, width: f64) -> f32 {
        let place = hertz / width;
        let mut sum = 0.0;
        for partial in 1..=PARTIALS {
            let Some(peak) = self.peak(place * partial as f64) else { break };
            sum += weight(hertz, partial) * peak;
        }
        sum
    }

    /// The greatest value about a place, in bins.
    fn peak(&self, place: f64) -> Option<f32> {
        let reach = 1.0 + place * (STEP_CENTS / 2.0 / 1200.0 * std::f64::consts::LN_2);
        let (low, high) = ((place - reach).round() as usize, (place + reach).round() as usize);
        let around = self.evened.get(low..=high)?;
        Some(around.iter().copied().fold(0.0, f32::max))
    }

    fn take_away(&mut self, place: f64, lobe: f64) {
        for partial in 1..=2 * PARTIALS {
            let at = place * partial as f64;
            let reach = lobe + STRETCHED * at;
            let (low, high) = ((at - reach).max(0.0) as usize, (at + reach).ceil() as usize);
            let high = high.min(self.evened.len().saturating_sub(1));
            if low > high {
                break;
            }
            for value in &mut self.evened[low..=high] {
                *value *= 1.0 - TAKEN;
            }
        }
    }
}

/// How much a pitch weighs that is not among the likely ones.
const UNLIKELY: f32 = 0.7;

/// Klapuri's weight of a partial.
fn weight(hertz: f64, partial: usize) -> f32 {
    ((hertz + WEIGHT_HZ.0) / (partial as f64 * hertz + WEIGHT_HZ.1)) as f32
}

/// The nearest equal-tempered note at a concert pitch, and how far above it a frequency lies.
pub(crate) fn nearest_note(hertz: f64, concert_pitch: Hertz) -> (u8, Cents) {
    let semitones = 69.0 + 12.0 * (hertz / concert_pitch.get()).log2();
    let note = semitones.round().clamp(0.0, 127.0);
    (note as u8, Cents::new(100.0 * (semitones - note)))
}
