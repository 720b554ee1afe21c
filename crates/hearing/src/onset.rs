//! Onsets, as the sound comes in.

use leverlane_core::time::Seconds;

use crate::attack::AttackTime;
use crate::clock::{SampleIndex, SampleRate};
use crate::novelty::{DELAY, Novelty, frame_length, hop};
use crate::peaks::{Peak, PeakPicker};
use crate::recent::{Recent, Sound};

/// Two attacks nearer than this are one (below what anybody plays apart).
const ONE_ATTACK: Seconds = Seconds::new(0.012);

/// The beginning of a sound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Onset {
    /// Its first sample, to about a millisecond.
    pub at: SampleIndex,
    /// How sure it is that something was plucked, 0 to 1.
    pub certainty: f64,
}

/// How long after its attack an onset is told at the latest.
pub(crate) const TOLD_WITHIN: Seconds = Seconds::new(0.055);

/// Finds onsets about 40 ms after they sounded.
#[derive(Debug)]
pub(crate) struct OnsetFinder {
    frame_length: usize,
    hop: usize,
    frames: u64,
    novelty: Novelty,
    picker: PeakPicker,
    attack: AttackTime,
    waiting: Option<Peak>,
    one_attack: u64,
    last: Option<u64>,
}

impl OnsetFinder {
    pub(crate) fn new(rate: SampleRate) -> OnsetFinder {
        OnsetFinder {
            frame_length: frame_length(rate),
            hop: hop(rate),
            frames: 0,
            novelty: Novelty::new(rate),
            picker: PeakPicker::new(),
            attack: AttackTime::new(rate),
            waiting: None,
            one_attack: rate.samples_in(ONE_ATTACK) as u64,
            last: None,
        }
    }

    /// The attack nearest to a rough place, not before an earliest one.
    pub(crate) fn attack_near(&mut self, sound: &impl Sound, rough: i64, earliest: i64) -> i64 {
        self.attack.near(rough, earliest, |from, stretch| sound.copy(from, stretch))
    }

    /// To be called after every sample.
    pub(crate) fn advance(&mut self, sound: &Recent) -> Option<Onset> {
        let centre = self.frames * self.hop as u64;
        if sound.count() < centre + self.frame_length as u64 / 2 {
            return None;
        }
        self.frames += 1;
        let starts = centre as i64 - self.frame_length as i64 / 2;
        let novelty = self.novelty.of(|stretch| sound.copy(starts, stretch));
        if let Some(peak) = self.picker.push(novelty) {
            self.waiting = Some(peak);
        }
        let peak = self.waiting?;
        let rough = (peak.frame as i64 - DELAY as i64) * self.hop as i64;
        if (sound.count() as i64) < rough + self.attack.needs_after() as i64 {
            return None;
        }
        self.waiting = None;
        let earliest = self.last.map_or(i64::MIN / 2, |last| (last + self.one_attack / 2) as i64);
        let at = self.attack.near(rough, earliest, |from, stretch| sound.copy(from, stretch)).max(0) as u64;
        if self.last.is_some_and(|last| at < last + self.one_attack) {
            return None;
        }
        self.last = Some(at);
        let excess = f64::from(peak.excess);
        Some(Onset { at: SampleIndex::new(at), certainty: 1.0 - 0.5 / (excess * excess) })
    }
}
