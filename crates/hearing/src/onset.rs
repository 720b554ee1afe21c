//! Onsets, as the sound comes in.

use leverlane_core::time::Seconds;

use crate::attack::AttackTime;
use crate::band_levels::{BandLevels, frame_length, hop};
use crate::clock::{SampleIndex, SampleRate};
use crate::onset_odds::{AFTER, OnsetOdds};
use crate::peaks::{Peak, PeakPicker};
use crate::recent::{Excerpt, Recent, Sound};

/// Two attacks nearer than this are one (below what anybody plays apart).
const ONE_ATTACK: Seconds = Seconds::new(0.012);

/// So many frames come before the first that is told: those that reach back before the first sample, and those that are
/// compared with them.
const WARM_UP: u64 = 40;

/// The beginning of a sound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Onset {
    /// Its first sample, to about a millisecond.
    pub at: SampleIndex,
    /// How sure it is that something was plucked, 0 to 1.
    pub certainty: f64,
}

/// How long after its attack an onset is told at the latest.
pub(crate) const TOLD_WITHIN: Seconds = Seconds::new(0.079);

/// Finds onsets about 70 ms after they sounded.
#[derive(Debug)]
pub(crate) struct OnsetFinder {
    frame_length: usize,
    hop: usize,
    frames: u64,
    levels: BandLevels,
    odds: OnsetOdds,
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
            levels: BandLevels::new(rate),
            odds: OnsetOdds::new(),
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
        let levels = self.levels.of(|stretch| sound.copy(starts, stretch));
        let probability = self.odds.push(levels);
        // Before the first frames that hold only sound there is nothing to compare with.
        if let Some(peak) = self.picker.push(if self.frames > WARM_UP { probability } else { 0.0 }) {
            self.waiting = Some(peak);
        }
        let peak = self.waiting?;
        let rough = (peak.frame as i64 - AFTER as i64) * self.hop as i64;
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
        Some(Onset { at: SampleIndex::new(at), certainty: f64::from(peak.certainty) })
    }
}

/// How likely something begins at each moment of an excerpt.
#[derive(Debug)]
pub(crate) struct OnsetCurve {
    /// The sample about which the first frame is.
    first: i64,
    hop: i64,
    probabilities: Vec<f32>,
}

impl OnsetCurve {
    /// From half a frame after the excerpt's beginning on.
    pub(crate) fn of(rate: SampleRate, sound: Excerpt<'_>) -> OnsetCurve {
        let (length, hop) = (frame_length(rate) as i64, hop(rate) as i64);
        let (mut levels, mut odds) = (BandLevels::new(rate), OnsetOdds::new());
        let first = sound.starts.get() as i64 + length / 2;
        let frames = (sound.samples.len() as i64 - length).max(0) / hop;
        let probability = |frame: i64| {
            let starts = first + frame * hop - length / 2;
            odds.push(levels.of(|stretch| sound.copy(starts, stretch)))
        };
        let told: Vec<f32> = (0..frames).map(probability).collect();
        let probabilities = told.into_iter().skip(AFTER).collect();
        OnsetCurve { first, hop, probabilities }
    }

    /// The greatest probability within two frames of a moment.
    pub(crate) fn near(&self, at: i64) -> f32 {
        let frame = (at - self.first + self.hop / 2).div_euclid(self.hop);
        let near = (frame - 2..=frame + 2).filter_map(|frame| self.probabilities.get(usize::try_from(frame).ok()?));
        near.copied().fold(0.0, f32::max)
    }

    /// About where it is likeliest, where it is likelier than `least`.
    pub(crate) fn peaks(&self, least: f32) -> impl Iterator<Item = i64> {
        let is_peak = move |three: &[f32]| three[1] > least && three[1] > three[0] && three[1] >= three[2];
        let places = self.probabilities.windows(3).enumerate().filter(move |(_, three)| is_peak(three));
        places.map(|(before, _)| self.first + (before as i64 + 1) * self.hop)
    }
}
