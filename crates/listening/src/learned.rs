//! Taking our own usual clicks off what is heard.
//!
//! What a click becomes on its way through loudspeaker, room and microphone is learnt from clicks that were heard, best of
//! all those of the count-in; from then on it is taken off wherever the clocks say that a click is heard. High clicks
//! need none of this: see `click_band`.

use std::collections::VecDeque;
use std::f64::consts::{PI, TAU};

use leverlane_core::drill::Accent;
use leverlane_sound::capture::{HeardIndex, HeardPoint};
use leverlane_sound::clocks::TwoClocks;
use leverlane_sound::{Click, ClickSound, SampleIndex};

use crate::clicks::{accent_index, echo_kind};

/// How long a click is listened to in a room, in seconds. The clocks are exact so much after the last click of the count-in, and
/// where no latency is known they must be before the first pass begins.
const LENGTH: f64 = 0.12;
/// From here on what is taken off fades, for where it broke off, what rings on would begin.
const FADES_FROM: f64 = 0.04;
/// A click that is so much like the pure one is heard alone.
pub(crate) const ALONE: f64 = 0.75;
/// Over how many seconds a note is looked for (by the listener).
const NOTE_LOOKED_FOR: f64 = 0.186;
/// No more clicks than this count in the mean: then the newer ones weigh more, should the microphone be moved.
const MOST: f32 = 16.0;
/// Clicks that may be under way.
const WAITING: usize = 64;

/// What clicks sound like where they are heard.
#[derive(Debug)]
pub(crate) struct LearnedClicks {
    length: usize,
    learned: [Option<Learned>; 3],
    sample: Vec<f32>,
}

#[derive(Debug)]
struct Learned {
    /// The mean of what was heard from the click's first sample on.
    mean: Vec<f32>,
    count: f32,
    strength: f64,
}

impl LearnedClicks {
    pub(crate) fn new(per_second: u32) -> LearnedClicks {
        let length = (LENGTH * f64::from(per_second)) as usize;
        LearnedClicks { length, learned: [None, None, None], sample: Vec::with_capacity(length) }
    }

    /// How many samples from its first on are needed to learn a click.
    pub(crate) fn length(&self) -> usize {
        self.length
    }

    /// Whether it is known what these clicks sound like.
    pub(crate) fn knows(&self, accent: Accent) -> bool {
        self.learned[accent_index(accent)].is_some()
    }

    /// Learns a click that was heard at `place` in this sound. The first should sound alone.
    pub(crate) fn learn(&mut self, accent: Accent, heard: &[f32], place: f64) {
        self.sample.clear();
        let fades_from = FADES_FROM / LENGTH;
        let faded = |n: usize| {
            let over = ((n as f64 / self.length as f64 - fades_from) / (1.0 - fades_from)).max(0.0);
            (0.5 + 0.5 * (PI * over).cos()) as f32
        };
        self.sample.extend((0..self.length).map(|n| faded(n) * between(heard, place + n as f64)));
        let Some(learned) = &mut self.learned[accent_index(accent)] else {
            let (mean, strength) = (self.sample.clone(), self.strength_of(accent, &self.sample));
            self.learned[accent_index(accent)] = Some(Learned { mean, count: 1.0, strength });
            return;
        };
        // Where more than the click was heard, a string was plucked: nothing to learn from.
        let rest: f32 = self.sample.iter().zip(&learned.mean).map(|(s, m)| (s - m).powi(2)).sum();
        let click: f32 = learned.mean.iter().map(|m| m * m).sum();
        if rest > 0.5 * click {
            return;
        }
        learned.count = (learned.count + 1.0).min(MOST);
        for (mean, sample) in learned.mean.iter_mut().zip(&self.sample) {
            *mean += (sample - *mean) / learned.count;
        }
    }

    /// How strong these clicks are heard, as the listener measures notes: by the amplitude that they have at their own
    /// frequency in the fifth of a second in which a note is looked for.
    pub(crate) fn strength(&self, accent: Accent) -> f64 {
        self.learned[accent_index(accent)].as_ref().map_or(0.0, |learned| learned.strength)
    }

    fn strength_of(&self, accent: Accent, click: &[f32]) -> f64 {
        let length = NOTE_LOOKED_FOR / LENGTH * self.length as f64;
        let turn = TAU * ClickSound::Usual.hertz(accent) * LENGTH / self.length as f64;
        let (mut cosine, mut sine) = (0.0, 0.0);
        for (n, &sample) in click.iter().enumerate() {
            let window = 1.0 - (TAU * n as f64 / length).cos();
            cosine += f64::from(sample) * window * (turn * n as f64).cos();
            sine += f64::from(sample) * window * (turn * n as f64).sin();
        }
        2.0 * cosine.hypot(sine) / length
    }

    /// Takes a click that is heard at `place` off a run of samples that begins at `first`, both by one count.
    pub(crate) fn take_one_off(&self, accent: Accent, place: f64, first: u64, samples: &mut [f32]) {
        let Some(learned) = &self.learned[accent_index(accent)] else { return };
        let touched = |at: f64| (at - first as f64).clamp(0.0, samples.len() as f64) as usize;
        let (from, to) = (touched(place.floor() - 2.0), touched(place.ceil() + self.length as f64 + 2.0));
        for (n, sample) in samples.iter_mut().enumerate().take(to).skip(from) {
            *sample -= between(&learned.mean, first as f64 + n as f64 - place);
        }
    }
}

/// Clicks that may be heard now or later, to be taken off once it is known where they are.
#[derive(Debug)]
pub(crate) struct ClicksUnderWay(VecDeque<(Accent, SampleIndex)>);

impl ClicksUnderWay {
    pub(crate) fn new() -> ClicksUnderWay {
        ClicksUnderWay(VecDeque::with_capacity(WAITING))
    }

    /// A click is played.
    pub(crate) fn note(&mut self, accent: Accent, at: SampleIndex) {
        if self.0.len() == WAITING {
            self.0.pop_front();
        }
        self.0.push_back((accent, at));
    }

    /// Takes them off a run of samples that begins at `first`, once the clocks are exact: what is taken off beside its place is
    /// one click more.
    pub(crate) fn take_off(
        &mut self,
        first: HeardIndex,
        samples: &mut [f32],
        learned: &LearnedClicks,
        clocks: &TwoClocks,
    ) {
        let (begins, ends) = (first.get() as f64, first.get() as f64 + samples.len() as f64);
        let mut over = 0;
        for (index, &(accent, at)) in self.0.iter().enumerate() {
            let usual = Click { sound: ClickSound::Usual, accent };
            let Some(HeardPoint(place)) = clocks.echo_point(echo_kind(usual), at) else { continue };
            if place + learned.length as f64 <= begins {
                over = index + 1;
                continue;
            }
            if place >= ends {
                break;
            }
            learned.take_one_off(accent, place, first.get(), samples);
        }
        self.0.drain(..over);
    }
}

/// The value at a place between samples, along a cubic through four of them (Catmull and Rom); outside it is nothing. A
/// click's few kilohertz lie far below where that bends.
fn between(samples: &[f32], place: f64) -> f32 {
    let whole = place.floor();
    let part = (place - whole) as f32;
    let at = |offset: i64| {
        let index = whole as i64 + offset;
        usize::try_from(index).ok().and_then(|index| samples.get(index)).copied().unwrap_or(0.0)
    };
    let (a, b, c, d) = (at(-1), at(0), at(1), at(2));
    b + 0.5 * part * (c - a + part * (2.0 * a - 5.0 * b + 4.0 * c - d + part * (3.0 * (b - c) + d - a)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: of a steady tone nothing is left for 40 ms, half of it at 80 ms, and all of it from 120 ms on; nowhere does it
    /// jump by more than the steepest step of half a cosine over 80 ms, π / 2 of an eightieth each millisecond.
    #[test]
    fn what_is_taken_off_fades() {
        let mut learned = LearnedClicks::new(1_000);
        learned.learn(Accent::Beat, &[1.0; 400], 50.0);
        let mut sound = [1.0; 300];
        learned.take_one_off(Accent::Beat, 50.0, 0, &mut sound);
        assert!(sound[50..90].iter().all(|left| left.abs() < 1e-3), "{sound:?}");
        assert!((sound[130] - 0.5).abs() < 0.02 && sound[172..].iter().all(|&left| left == 1.0), "{sound:?}");
        assert!(sound[50..].windows(2).all(|two| (two[1] - two[0]).abs() < 0.021), "{sound:?}");
    }
}
