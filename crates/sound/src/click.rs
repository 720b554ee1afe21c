//! The click, in the sounds that a player may choose from.

use std::f64::consts::{PI, TAU};

use leverlane_core::drill::Accent;
use leverlane_core::time::Seconds;

use crate::one_shot::OneShots;
use crate::sample_clock::SampleRate;
use crate::tone::Tone;

/// What the click sounds like.
///
/// A drill has one for all its clicks; whoever plays or listens is told with each [`Click`] which it is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ClickSound {
    /// A burst of 1 to 2 kHz, which everybody hears well.
    #[default]
    Usual,
    /// A soft burst of 9.5 kHz, above nearly all of a harp's partials, so that a microphone can tell the two apart. Hearing
    /// of such heights is lost with age: many players don't hear it (common knowledge).
    High,
}

/// A click as it is played.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Click {
    /// Its sound.
    pub sound: ClickSound,
    /// How strong it is.
    pub accent: Accent,
}

impl ClickSound {
    /// All of them.
    pub const ALL: [ClickSound; 2] = [ClickSound::Usual, ClickSound::High];
    /// Samples a second from which on the high click can be played or recorded: a device passes frequencies up to some nine
    /// tenths of half its rate (common practice).
    pub const HIGH_FROM: u32 = 22_000;

    /// Whether sound of such a rate can hold it.
    pub fn fits(self, rate: SampleRate) -> bool {
        match self {
            ClickSound::Usual => true,
            ClickSound::High => rate.get() >= ClickSound::HIGH_FROM,
        }
    }

    /// What is played for it on a device of such a rate: the usual click where it doesn't fit.
    pub fn at(self, rate: SampleRate) -> ClickSound {
        if self.fits(rate) { self } else { ClickSound::Usual }
    }

    /// The frequency of a click, in hertz.
    pub fn hertz(self, accent: Accent) -> f64 {
        match (self, accent) {
            (ClickSound::Usual, Accent::Bar) => 2_000.0,
            (ClickSound::Usual, Accent::Beat) => 1_400.0,
            (ClickSound::Usual, Accent::Division) => 1_000.0,
            (ClickSound::High, _) => 9_500.0,
        }
    }
}

/// The clicks, each sound in each strength.
pub(crate) fn clicks(rate: SampleRate) -> OneShots {
    let all = ClickSound::ALL.into_iter().flat_map(|sound| ACCENTS.map(|accent| Click { sound, accent }));
    OneShots::new(all.map(|which| click(which, rate).unwrap_or_default()).collect())
}

const ACCENTS: [Accent; 3] = [Accent::Bar, Accent::Beat, Accent::Division];

/// Which of the clicks this is.
pub(crate) fn index_of(click: Click) -> usize {
    let strength = match click.accent {
        Accent::Bar => 0,
        Accent::Beat => 1,
        Accent::Division => 2,
    };
    match click.sound {
        ClickSound::Usual => strength,
        ClickSound::High => ACCENTS.len() + strength,
    }
}

/// One click; none where the rate can't hold it.
pub(crate) fn click(click: Click, rate: SampleRate) -> Option<Box<[f32]>> {
    let Click { sound, accent } = click;
    let hertz = sound.hertz(accent);
    sound.fits(rate).then(|| match sound {
        ClickSound::Usual => usual(accent, hertz, rate),
        ClickSound::High => high(accent, hertz, rate),
    })
}

/// The amplitude of a usual click.
fn amplitude(accent: Accent) -> f64 {
    match accent {
        Accent::Bar => 0.5,
        Accent::Beat => 0.35,
        Accent::Division => 0.18,
    }
}

/// A short burst that rises within half a millisecond and is gone after 30: sharp enough to be felt as a moment, narrow
/// enough in band not to crackle. The stronger the accent, the higher and louder.
fn usual(accent: Accent, hertz: f64, rate: SampleRate) -> Box<[f32]> {
    let partials = [(hertz, amplitude(accent))];
    let (rise, steady, fall) = (Seconds::new(0.0005), Seconds::new(0.002), Seconds::new(0.0275));
    Tone { partials: &partials, rise, steady, fall }.samples(rate)
}

/// The high click against the usual one: 12 dB softer.
const SOFTER: f64 = 0.25;
/// It rises within this.
const HIGH_RISES: f64 = 0.002;

/// A burst of 6 to 10 ms that rises and falls along half a period of a cosine each, which leaves next to nothing far from
/// its frequency. So high nobody tells pitches apart: the stronger the accent, the longer and louder.
fn high(accent: Accent, hertz: f64, rate: SampleRate) -> Box<[f32]> {
    let falls = match accent {
        Accent::Bar => 0.008,
        Accent::Beat => 0.006,
        Accent::Division => 0.004,
    };
    let per_second = f64::from(rate.get());
    let length = (per_second * (HIGH_RISES + falls)) as usize;
    let half_a_cosine = |part: f64| 0.5 * (1.0 - (PI * part.clamp(0.0, 1.0)).cos());
    (1..=length)
        .map(|n| {
            let time = n as f64 / per_second;
            let envelope = half_a_cosine(time / HIGH_RISES) * half_a_cosine((HIGH_RISES + falls - time) / falls);
            (SOFTER * amplitude(accent) * envelope * (TAU * hertz * time).sin()) as f32
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn high_click(accent: Accent, rate: u32) -> Box<[f32]> {
        let rate = SampleRate::new(rate).unwrap();
        click(Click { sound: ClickSound::High, accent }, rate).unwrap()
    }

    /// The energy below and above 8 kHz, by Fourier's sum over the click and as much silence again.
    fn energy_by_height(click: &[f32], rate: u32) -> (f64, f64) {
        let length = 2 * click.len();
        let (mut below, mut above) = (0.0, 0.0);
        for bin in 0..=length / 2 {
            let turn = TAU * bin as f64 / length as f64;
            let (mut cosine, mut sine) = (0.0, 0.0);
            for (n, &sample) in click.iter().enumerate() {
                cosine += f64::from(sample) * (turn * n as f64).cos();
                sine += f64::from(sample) * (turn * n as f64).sin();
            }
            let hertz = bin as f64 * f64::from(rate) / length as f64;
            *(if hertz < 8_000.0 { &mut below } else { &mut above }) += cosine * cosine + sine * sine;
        }
        (below, above)
    }

    /// By a Fourier sum: below 8 kHz there is a ten-thousandth of the energy above it at most, 40 dB less.
    #[test]
    fn the_high_click_stays_above_a_harps_partials() {
        for rate in [22_050, 44_100, 48_000, 96_000] {
            for accent in ACCENTS {
                let click = high_click(accent, rate);
                let (below, above) = energy_by_height(&click, rate);
                assert!(below < 1e-4 * above, "{accent:?} at {rate}: {:.1} dB", 10.0 * (below / above).log10());
                let lasts = click.len() as f64 / f64::from(rate);
                assert!((0.005..=0.010_1).contains(&lasts), "{accent:?} at {rate} lasts {lasts} s");
                assert!(click.iter().all(|sample| sample.is_finite()) && click[0] != 0.0);
            }
        }
    }

    /// 12 dB are a quarter of the amplitude (arithmetic: 20 log 4 = 12.04); a fine rate meets the peaks to a hundredth.
    #[test]
    fn the_high_click_is_softer_and_as_accented() {
        let rate = SampleRate::new(192_000).unwrap();
        let peak = |sound, accent| {
            let samples = click(Click { sound, accent }, rate).unwrap();
            samples.iter().fold(0.0f32, |peak, sample| peak.max(sample.abs()))
        };
        for accent in ACCENTS {
            let softer = peak(ClickSound::High, accent) / peak(ClickSound::Usual, accent);
            assert!((softer - 0.25).abs() < 0.01, "{accent:?}: {softer}");
        }
        let [bar, beat, division] = ACCENTS.map(|accent| peak(ClickSound::High, accent));
        assert!(bar > 1.3 * beat && beat > 1.3 * division, "{bar} {beat} {division}");
    }

    /// A telephone's 8,000 samples a second end at 4 kHz: the usual click is played there.
    #[test]
    fn where_the_high_click_does_not_fit_the_usual_one_is_heard() {
        let slow = SampleRate::new(8_000).unwrap();
        assert_eq!(ClickSound::High.at(slow), ClickSound::Usual);
        assert_eq!(click(Click { sound: ClickSound::High, accent: Accent::Beat }, slow), None);
        assert_eq!(ClickSound::High.at(SampleRate::USUAL), ClickSound::High);
    }
}
