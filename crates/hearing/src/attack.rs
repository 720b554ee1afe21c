//! The moment of an attack, to a fraction of a millisecond.
//!
//! Between two onsets a harp is a sum of slowly fading partials, which linear prediction foretells well. A pluck breaks
//! the prediction: where the error's variance changes is the attack (Akaike's criterion for a change point).

use leverlane_core::time::Seconds;

use crate::clock::SampleRate;

/// The order of the prediction.
const ORDER: usize = 48;
/// How much sound the prediction is learned from.
const LEARNED: Seconds = Seconds::new(0.060);
/// How long before the rough time the learning ends and the search begins.
const EARLIEST: Seconds = Seconds::new(0.012);
/// How long after the rough time the search ends.
const LATEST: Seconds = Seconds::new(0.008);
/// What is so much fainter than the whole search, in power, is all alike: −30 dB.
const FAINTEST: f64 = 1e-3;
/// No change is looked for nearer than this to the ends of the search, where variances mean nothing.
const MARGIN: Seconds = Seconds::new(0.000_7);

/// Finds attacks; all its memory is its own.
#[derive(Debug)]
pub(crate) struct AttackTime {
    learned: usize,
    early: usize,
    searched: usize,
    margin: usize,
    sound: Box<[f32]>,
    forward: Box<[f64]>,
    backward: Box<[f64]>,
    coefficients: [f64; ORDER + 1],
    energy: Box<[f64]>,
}

impl AttackTime {
    pub(crate) fn new(rate: SampleRate) -> AttackTime {
        let (learned, early) = (rate.samples_in(LEARNED), rate.samples_in(EARLIEST));
        let searched = early + rate.samples_in(LATEST);
        AttackTime {
            learned,
            early,
            searched,
            margin: rate.samples_in(MARGIN).max(4),
            sound: vec![0.0; learned + searched].into(),
            forward: vec![0.0; learned].into(),
            backward: vec![0.0; learned].into(),
            coefficients: [0.0; ORDER + 1],
            energy: vec![0.0; searched + 1].into(),
        }
    }

    /// How many samples after the rough place must have come.
    pub(crate) fn needs_after(&self) -> usize {
        self.searched - self.early
    }

    /// The place of the attack near a rough one; `copy` gives the sound from a place on.
    ///
    /// None is looked for before `earliest`, where the attack before this one was.
    pub(crate) fn near(&mut self, rough: i64, earliest: i64, copy: impl FnOnce(i64, &mut [f32])) -> i64 {
        let search_starts = rough - self.early as i64;
        copy(search_starts - self.learned as i64, &mut self.sound);
        self.learn();
        // The error of the prediction, as a running sum of squares.
        let mut sum = 0.0;
        self.energy[0] = 0.0;
        for n in 0..self.searched {
            let at = self.learned + n;
            let error: f64 =
                self.coefficients.iter().zip(self.sound[..=at].iter().rev()).map(|(c, &x)| c * f64::from(x)).sum();
            sum += error * error;
            self.energy[n + 1] = sum;
        }
        let skipped = (earliest - search_starts).clamp(0, self.early as i64) as usize;
        search_starts + self.change_point(skipped) as i64
    }

    /// Burg's recursion on the sound before the search.
    fn learn(&mut self) {
        let n = self.learned;
        for (place, &sample) in self.sound[..n].iter().enumerate() {
            self.forward[place] = f64::from(sample);
            self.backward[place] = f64::from(sample);
        }
        let power: f64 = self.forward.iter().map(|x| x * x).sum();
        // Silence predicts nothing; a trace of noise keeps the recursion from dividing by nothing.
        let trace = power * 1e-9 + 1e-18;
        self.coefficients.fill(0.0);
        self.coefficients[0] = 1.0;
        for order in 1..=ORDER.min(n.saturating_sub(1)) {
            let (mut product, mut energy) = (0.0, trace);
            for place in order..n {
                let (f, b) = (self.forward[place], self.backward[place - 1]);
                product += f * b;
                energy += f * f + b * b;
            }
            let reflection = -2.0 * product / energy;
            for (low, high) in (0..=order).zip((0..=order).rev()) {
                if low > high {
                    break;
                }
                let (a, b) = (self.coefficients[low], self.coefficients[high]);
                self.coefficients[low] = a + reflection * b;
                self.coefficients[high] = b + reflection * a;
            }
            for place in (order..n).rev() {
                let (f, b) = (self.forward[place], self.backward[place - 1]);
                self.forward[place] = f + reflection * b;
                self.backward[place] = b + reflection * f;
            }
        }
    }

    /// Where two stretches of different variance explain the error best.
    fn change_point(&self, skipped: usize) -> usize {
        let (start, total) = (self.energy[skipped], self.energy[self.searched]);
        // Changes far below the attack, such as what is left of our own click before it, do not count.
        let floor = (total - start) / self.searched as f64 * FAINTEST + 1e-20;
        let cost = |split: usize| {
            let (before, after) = ((split - skipped) as f64, (self.searched - split) as f64);
            before * ((self.energy[split] - start) / before + floor).ln()
                + after * ((total - self.energy[split]) / after + floor).ln()
        };
        let first = skipped + self.margin;
        (first..self.searched - self.margin).min_by(|&a, &b| cost(a).total_cmp(&cost(b))).unwrap_or(self.early)
    }
}
