//! The signs that one string was plucked at one moment, as numbers of about the same size.
//!
//! Each of the string's first partials is compared before and after the moment, in short stretches for the moment itself and
//! in long ones for the string; what the strings beside it have there too is told as well, so that [`crate::pluck_odds`] can
//! weigh it less.

use leverlane_core::time::Seconds;

use crate::clock::SampleRate;
use crate::lever_reading::{PluckedString, numbers, partial, partials_beside};
use crate::onset::OnsetCurve;
use crate::partial_fit::{FittedPartial, PartialFit};
use crate::partial_rise::PartialRise;
use crate::recent::{Excerpt, Sound};

/// So many partials are followed.
use crate::partial_rise::PARTIALS;
/// Signs of each partial, and of the moment as a whole.
const OF_PARTIAL: usize = 5;
const OF_MOMENT: usize = 10;
/// How many signs there are.
pub(crate) const SIGNS: usize = PARTIALS * OF_PARTIAL + OF_MOMENT;

/// The stretches in which partials rise: for the moment, and for the string.
const RISES: [Seconds; 2] = [Seconds::new(0.022), Seconds::new(0.0465)];
/// The stretch in which partials are fitted together with those of the strings beside.
const FITTED: Seconds = Seconds::new(0.186);
/// What is left out after the moment before partials are fitted.
const AFTER_PLUCK: Seconds = Seconds::new(0.005);
/// The stretches before and after the moment whose energies are compared, the first one's high frequencies alone.
const ENERGIES: [Seconds; 2] = [Seconds::new(0.006), Seconds::new(0.020)];
/// A partial that is so much fainter than full scale is none.
const FAINTEST: f64 = 1e-4;
/// An attack of the first look this near is the same moment's.
const SAME: Seconds = Seconds::new(0.003);
/// Strings wanted within this of each other are plucked together.
const TOGETHER: Seconds = Seconds::new(0.06);
/// Nothing that is further away than this many seconds tells anything.
const LONGEST: f64 = 2.0;

/// A moment at which a string may have been plucked, as the second look has read it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ReadMoment {
    pub(crate) at: i64,
    /// How far above its open pitch the string sounds then, in cents.
    pub(crate) raise: f64,
    /// The share of its partials that sounds new, and by how much that is more than at the next best raise, 0 to 1.
    pub(crate) share: f64,
    pub(crate) margin: f64,
}

/// Reads signs.
#[derive(Debug)]
pub(crate) struct PluckSigns {
    rate: SampleRate,
    rises: [PartialRise; RISES.len()],
    fit: PartialFit,
}

impl PluckSigns {
    pub(crate) fn new(rate: SampleRate) -> PluckSigns {
        PluckSigns {
            rate,
            rises: RISES.map(|stretch| PartialRise::of(rate, stretch)),
            fit: PartialFit::new(rate, FITTED),
        }
    }

    /// The signs that the string at `index` of the strings that are wanted was plucked at a moment.
    pub(crate) fn at(
        &mut self,
        sound: Excerpt<'_>,
        attacks: &[i64],
        curve: &OnsetCurve,
        strings: &[PluckedString],
        index: usize,
        moment: ReadMoment,
    ) -> [f32; SIGNS] {
        let own = &strings[index];
        let hertz = own.open.get() * (moment.raise / 1200.0).exp2();
        let mut signs = [0.0; SIGNS];
        let mut rises = [[0.0; PARTIALS]; RISES.len()];
        for (rise, into) in self.rises.iter_mut().zip(&mut rises) {
            rise.each_at(&sound, moment.at, hertz, into);
        }
        let (before, after) = self.fitted(sound, strings, index, &moment, hertz);
        let loudest = after.iter().map(|partial| partial.amplitude).fold(FAINTEST, f64::max);
        for (number, signs) in signs[..PARTIALS * OF_PARTIAL].chunks_exact_mut(OF_PARTIAL).enumerate() {
            let (before, after) = (before[number], after[number]);
            let knee = FAINTEST.max(0.03 * loudest);
            signs[0] = rises[0][number] as f32;
            signs[1] = rises[1][number] as f32;
            signs[2] = ((after.amplitude + knee) / (before.amplitude + knee)).log10() as f32;
            signs[3] = ((after.amplitude + 1e-3 * loudest) / loudest).log10() as f32;
            signs[4] = after.own as f32;
        }
        let seconds = |samples: i64| samples as f64 / f64::from(self.rate.get());
        let since = |distance: Option<i64>| (distance.map_or(LONGEST, seconds).clamp(0.01, LONGEST) / 0.3).log10();
        let same = self.rate.samples_in(SAME) as i64;
        let next = attacks.iter().find(|attack| **attack > moment.at + same).map(|attack| attack - moment.at);
        let mine = strings.iter().enumerate().filter(|(other, string)| *other != index && string.open == own.open);
        let last = mine.map(|(_, string)| moment.at - string.from).filter(|since| *since > 0).min();
        let together = self.rate.samples_in(TOGETHER) as i64;
        let company =
            strings.iter().filter(|other| (other.from - moment.at).abs() < together && other.open != own.open);
        let begins = f64::from(curve.near(moment.at)).clamp(0.002, 0.998);
        let of_moment: [f64; OF_MOMENT] = [
            2.0 * moment.share,
            moment.margin,
            f64::from((moment.raise - own.expected).abs() > 20.0),
            (begins / (1.0 - begins)).ln() / 3.0,
            since(next),
            since(last),
            company.count() as f64 / 3.0,
            (own.open.get() / 262.0).log2(),
            self.louder(&sound, moment.at, ENERGIES[0], |pair| pair[1] - pair[0]),
            self.louder(&sound, moment.at, ENERGIES[1], |pair| pair[0]),
        ];
        for (sign, value) in signs[PARTIALS * OF_PARTIAL..].iter_mut().zip(of_moment) {
            *sign = value as f32;
        }
        signs
    }

    /// The string's partials before and after a moment, each fitted together with those of the strings beside.
    fn fitted(
        &mut self,
        sound: Excerpt<'_>,
        strings: &[PluckedString],
        index: usize,
        moment: &ReadMoment,
        hertz: f64,
    ) -> ([FittedPartial; PARTIALS], [FittedPartial; PARTIALS]) {
        let after = moment.at + self.rate.samples_in(AFTER_PLUCK) as i64;
        let before = moment.at - self.fit.length();
        let fitted = [before, after].map(|from| {
            self.fit.look(&sound, from);
            let stretch = (from, from + self.fit.length());
            let others = partials_beside(strings, &strings[index], stretch, self.fit.per_second());
            let mut fitted = [FittedPartial::default(); PARTIALS];
            for (number, into) in numbers(hertz, PARTIALS as u32).zip(&mut fitted) {
                *into = self.fit.fit(partial(hertz, number), &others);
            }
            fitted
        });
        (fitted[0], fitted[1])
    }

    /// By how many decades there is more energy after a moment than before.
    fn louder(&self, sound: &impl Sound, moment: i64, stretch: Seconds, of: impl Fn(&[f32]) -> f32) -> f64 {
        let length = self.rate.samples_in(stretch).max(2);
        let mut samples = vec![0.0; 2 * length];
        sound.copy(moment - length as i64, &mut samples);
        let energy = |half: &[f32]| half.windows(2).map(|pair| f64::from(of(pair)).powi(2)).sum::<f64>() + 1e-9;
        let (before, after) = samples.split_at(length);
        (energy(after) / energy(before)).log10().clamp(-2.0, 4.0)
    }
}
