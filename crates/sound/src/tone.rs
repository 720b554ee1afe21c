//! Made-up tones for clicks and cues.

use std::f64::consts::TAU;

use leverlane_core::time::Seconds;

use crate::sample_clock::SampleRate;

/// A tone of a few partials, with its rise, its steady part and its fall.
pub(crate) struct Tone<'a> {
    /// Frequency in hertz and amplitude of each partial; the amplitudes add up to the tone's peak at most.
    pub(crate) partials: &'a [(f64, f64)],
    pub(crate) rise: Seconds,
    pub(crate) steady: Seconds,
    pub(crate) fall: Seconds,
}

impl Tone<'_> {
    /// The samples. The first is not zero, so that the tone starts exactly where it is placed; partials that the rate
    /// can't carry are left out.
    pub(crate) fn samples(&self, rate: SampleRate) -> Box<[f32]> {
        let per_second = f64::from(rate.get());
        let length = (per_second * (self.rise + self.steady + self.fall).get()).ceil() as usize;
        (1..=length.max(1))
            .map(|n| {
                let time = n as f64 / per_second;
                let partials = self.partials.iter().filter(|&&(hertz, _)| hertz < per_second * 0.45);
                let sum: f64 = partials.map(|&(hertz, amplitude)| amplitude * (TAU * hertz * time).sin()).sum();
                (sum * self.envelope(time)) as f32
            })
            .collect()
    }

    /// A straight rise, and a fall along half a period of a cosine.
    fn envelope(&self, time: f64) -> f64 {
        let fallen = (time - self.rise.get() - self.steady.get()) / self.fall.get();
        let rise = (time / self.rise.get()).min(1.0);
        rise * 0.5 * (1.0 + (std::f64::consts::PI * fallen.clamp(0.0, 1.0)).cos())
    }
}
