//! How a string's partials come and go about its pluck, in short stretches one after the other.
//!
//! A string that was plucked grows louder all at once and then fades; one that only seems to sound, since others sound into its
//! partials, grows with them.

use leverlane_core::time::Seconds;

use crate::clock::SampleRate;
use crate::lever_reading::{PARTIALS, PluckedString, partials_at, partials_beside};
use crate::partial_fit::PartialFit;
use crate::recent::Excerpt;

/// The length of the stretches, and when they begin after the pluck, in seconds.
const LENGTH: Seconds = Seconds::new(0.093);
const BEGIN: [f64; 7] = [-0.14, -0.093, -0.0465, AT_PLUCK, 0.0515, 0.098, 0.16];
/// The one at the pluck.
const AT_PLUCK: f64 = 0.005;
/// The string as it is asked, and otherwise.
const STATES: usize = 2;
/// How many signs there are: levels of each partial, and how much of each is the string's own.
pub(crate) const SIGNS: usize = (BEGIN.len() + 1) * STATES * PARTIALS;

/// Follows partials.
#[derive(Debug)]
pub(crate) struct PartialCourse {
    fit: PartialFit,
}

impl PartialCourse {
    pub(crate) fn new(rate: SampleRate) -> PartialCourse {
        PartialCourse { fit: PartialFit::new(rate, LENGTH) }
    }

    /// The signs of one of the plucked strings, raised by so many cents in each state; levels against a reference.
    pub(crate) fn signs(
        &mut self,
        sound: Excerpt<'_>,
        plucked: &[PluckedString],
        index: usize,
        raises: [f64; STATES],
        reference: f64,
    ) -> [f64; SIGNS] {
        let own = &plucked[index];
        let mut all = Vec::with_capacity(SIGNS);
        for begins in BEGIN {
            let from = own.from + (begins * self.fit.per_second()) as i64;
            self.fit.look(&sound, from);
            let others = partials_beside(plucked, own, (from, from + self.fit.length()), self.fit.per_second());
            for raise in raises {
                let partials = partials_at(&self.fit, own, raise, &others);
                all.extend(partials.iter().map(|partial| level(partial.amplitude, reference)));
                if begins == AT_PLUCK {
                    all.extend(partials.iter().map(|partial| partial.own));
                }
            }
        }
        let mut signs = [0.0; SIGNS];
        signs.iter_mut().zip(all).for_each(|(sign, value)| *sign = value);
        signs
    }
}

/// An amplitude against a reference: as loud as it counts 1, 60 dB below it −1.
pub(crate) fn level(amplitude: f64, reference: f64) -> f64 {
    (amplitude / reference + 1e-3).log10() / 1.5 + 1.0
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use leverlane_core::harp::StringSound;
    use leverlane_core::pitch::Hertz;

    use super::*;
    use crate::clock::SampleIndex;
    use crate::lever_reading::partial;

    const RATE: u32 = 44_100;
    const PLUCKED: usize = 20_000;

    /// By hand: a synthetic string whose partials fall as 1, 1/2, 1/3 …, plucked open in silence: before that there is nothing,
    /// from then on each partial stands at its level in every stretch, 0.1 at the reference; a raised one has none of its own.
    #[test]
    fn partials_come_with_the_pluck_and_stay() {
        let open = Hertz::new(293.66).unwrap();
        let sample = |n: usize| {
            let time = n as f64 / f64::from(RATE);
            let partials = (1..=8).map(f64::from).map(|k| 0.1 / k * (TAU * partial(open.get(), k) * time + k).sin());
            if n < PLUCKED { 0.0 } else { partials.sum::<f64>() as f32 }
        };
        let samples: Vec<f32> = (0..PLUCKED + RATE as usize).map(sample).collect();
        let sound = Excerpt { starts: SampleIndex::new(0), samples: &samples };
        let (from, until) = (PLUCKED as i64, i64::MAX / 2);
        let of = StringSound::UNHEARD;
        let plucked = [PluckedString { open, raise: 0.0, expected: 0.0, up: 100.0, sound: of, from, until }];
        let mut course = PartialCourse::new(SampleRate::new(RATE).unwrap());
        let signs = course.signs(sound, &plucked, 0, [0.0, 100.0], 0.1);

        let (early, rest) = signs.split_at(2 * STATES * PARTIALS);
        assert!(early.iter().all(|level| *level < -0.9), "the first two stretches end before the pluck: {early:?}");
        let at_pluck = &rest[STATES * PARTIALS..3 * STATES * PARTIALS];
        let [asked, own, other] = [0, 1, 2].map(|part| &at_pluck[part * PARTIALS..(part + 1) * PARTIALS]);
        let levels = (1..=PARTIALS).map(|number| (1.0 / number as f64).log10() / 1.5 + 1.0);
        assert!(asked.iter().zip(levels).all(|(told, level)| (told - level).abs() < 0.05), "{asked:?}");
        assert_eq!(own, [1.0; PARTIALS], "no string sounds beside it");
        assert!(other.iter().zip(asked).all(|(other, asked)| *other < asked - 0.3), "{other:?}");
        let last = &signs[SIGNS - STATES * PARTIALS..][..PARTIALS];
        assert!(last.iter().zip(asked).all(|(late, at_pluck)| (late - at_pluck).abs() < 0.05), "{last:?}");
    }
}
