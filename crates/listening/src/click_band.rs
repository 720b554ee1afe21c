//! The high click's band of the sound: kept out of what is listened to, and looked into for the click itself.
//!
//! Nothing has to be learnt for it: whatever loudspeaker, room and microphone make of the click stays where hardly any of a
//! string's partials are. Second-order sections by the "Audio EQ Cookbook" (R. Bristow-Johnson; W3C Group Note, 2021).

use std::f64::consts::{FRAC_1_SQRT_2, TAU};

use leverlane_core::drill::Accent;
use leverlane_sound::{ClickSound, SampleRate};

/// What is looked into for the high click begins here, in hertz.
const LOOKED_FROM: f64 = 7_500.0;
/// The quality of the sections of Butterworth's filter of the sixth order: 1 / (2 cos(π k / 12)) for k = 1, 3, 5.
const BUTTERWORTH: [f64; 3] = [0.517_638, FRAC_1_SQRT_2, 1.931_852];
/// Where notches stand about the click's frequency, and how wide each is, in hertz. Together they make a burst of 6 to 10 ms
/// softer by more than 30 dB, and hold up what lies far below by less than 20 µs.
const NOTCHES: [f64; 3] = [-300.0, 0.0, 300.0];
const NOTCH_WIDTH: f64 = 1_500.0;

/// A filter that goes along with the sound.
#[derive(Debug)]
pub(crate) struct ClickBand {
    sections: [Section; 3],
}

#[derive(Debug)]
struct Section {
    /// Of the present input and of the two before it.
    ahead: [f64; 3],
    /// Of the two outputs before.
    back: [f64; 2],
    held: [f64; 2],
}

/// Softer than any sound; numbers that fade below are slow to work with.
const NOTHING: f64 = 1e-30;

impl ClickBand {
    /// Leaves only what lies above nearly all of a harp's partials; none where sound of such a rate holds nothing there.
    pub(crate) fn alone(rate: SampleRate) -> Option<ClickBand> {
        let section = |quality| {
            let turn = TAU * LOOKED_FROM / f64::from(rate.get());
            let (cosine, alpha) = (turn.cos(), turn.sin() / (2.0 * quality));
            let passed = 0.5 * (1.0 + cosine);
            Section::of([passed, -2.0 * passed, passed], cosine, alpha)
        };
        ClickSound::High.fits(rate).then(|| ClickBand { sections: BUTTERWORTH.map(section) })
    }

    /// Leaves all but the click; none where sound of such a rate doesn't hold it anyway.
    pub(crate) fn taken_out(rate: SampleRate) -> Option<ClickBand> {
        let section = |beside: f64| {
            let turn = |hertz: f64| TAU * hertz / f64::from(rate.get());
            let cosine = turn(ClickSound::High.hertz(Accent::Beat) + beside).cos();
            // So the width is exact however near to half the rate (Orfanidis, "Introduction to Signal Processing", 11.3).
            Section::of([1.0, -2.0 * cosine, 1.0], cosine, (0.5 * turn(NOTCH_WIDTH)).tan())
        };
        ClickSound::High.fits(rate).then(|| ClickBand { sections: NOTCHES.map(section) })
    }

    /// The next sample.
    pub(crate) fn pass(&mut self, sample: f32) -> f32 {
        self.sections.iter_mut().fold(f64::from(sample), |sample, section| section.pass(sample)) as f32
    }

    /// A whole sound from silence on, with so many samples for it to die away.
    pub(crate) fn passed(mut self, sound: &[f32], after: usize) -> Vec<f32> {
        sound.iter().copied().chain(std::iter::repeat_n(0.0, after)).map(|sample| self.pass(sample)).collect()
    }

    /// Forgets what it was passed: the sound goes on elsewhere.
    pub(crate) fn begin_anew(&mut self) {
        for section in &mut self.sections {
            section.held = [0.0; 2];
        }
    }
}

impl Section {
    /// From the cosine of its frequency's turn a sample, and the cookbook's alpha.
    fn of(ahead: [f64; 3], cosine: f64, alpha: f64) -> Section {
        let whole = 1.0 + alpha;
        Section {
            ahead: ahead.map(|part| part / whole),
            back: [-2.0 * cosine / whole, (1.0 - alpha) / whole],
            held: [0.0; 2],
        }
    }

    fn pass(&mut self, sample: f64) -> f64 {
        let out = self.ahead[0] * sample + self.held[0];
        let held =
            [self.ahead[1] * sample - self.back[0] * out + self.held[1], self.ahead[2] * sample - self.back[1] * out];
        self.held = held.map(|value| if value.abs() < NOTHING { 0.0 } else { value });
        out
    }
}

#[cfg(test)]
mod tests {
    use leverlane_sound::{Click, Sounding, waveform};

    use super::*;

    fn energy(sound: &[f32]) -> f64 {
        sound.iter().map(|&sample| f64::from(sample).powi(2)).sum()
    }

    /// Of the click less than a thousandth is left (30 dB), whatever its strength and the rate; a sine of 2 kHz, high for a
    /// harp, comes through as if it were late by 20 µs at most: 2 sin(π 2,000 · 20e-6) = 0.251 of it are between then.
    #[test]
    fn the_click_is_kept_out_and_strings_are_not() {
        for rate in [22_050, 44_100, 48_000, 96_000, 192_000] {
            let rate = SampleRate::new(rate).unwrap();
            for accent in [Accent::Bar, Accent::Beat, Accent::Division] {
                let click = waveform(Sounding::Click(Click { sound: ClickSound::High, accent }), rate).unwrap();
                let left = ClickBand::taken_out(rate).unwrap().passed(&click, 2_000);
                let decibels = 10.0 * (energy(&left) / energy(&click)).log10();
                assert!(decibels < -30.0, "{accent:?} at {rate:?}: {decibels}");
            }
            let second = rate.get() as usize;
            let turn = TAU * 2_000.0 / f64::from(rate.get());
            let sine: Vec<f32> = (0..second).map(|n| (turn * n as f64).sin() as f32).collect();
            let passed = ClickBand::taken_out(rate).unwrap().passed(&sine, 0);
            let changed: Vec<f32> = sine.iter().zip(&passed).map(|(sine, passed)| passed - sine).collect();
            let changed = (energy(&changed[second / 2..]) / energy(&sine[second / 2..])).sqrt();
            assert!(changed < 0.251, "{rate:?}: {changed}");
            let alone = ClickBand::alone(rate).unwrap().passed(&sine, 0);
            // Butterworth: (2,000 / 7,500)^6 is 69 dB.
            let left = 10.0 * (energy(&alone[second / 2..]) / energy(&sine[second / 2..])).log10();
            assert!(left < -65.0, "{rate:?}: {left} dB");
        }
        assert!(ClickBand::alone(SampleRate::new(8_000).unwrap()).is_none());
    }
}
