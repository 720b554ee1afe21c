//! The ear: samples in, what was heard out.

use leverlane_core::time::Seconds;

use crate::clock::{SampleIndex, SampleRate};
use crate::onset::{Onset, OnsetFinder};
use crate::recent::Recent;

/// How much sound is kept to look back at.
const KEPT: Seconds = Seconds::new(1.0);

/// Something that was heard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Heard {
    /// Something began to sound, about 40 ms ago.
    Onset(Onset),
}

/// Listens to one channel of sound, in blocks of any size: what is heard does not depend on how the sound is divided.
///
/// Everything is allocated by [`Listener::new`], nothing while listening.
#[derive(Debug)]
pub struct Listener {
    rate: SampleRate,
    sound: Recent,
    onsets: OnsetFinder,
}

impl Listener {
    /// An ear for sound at a rate.
    pub fn new(rate: SampleRate) -> Listener {
        Listener { rate, sound: Recent::with_room_for(rate.samples_in(KEPT)), onsets: OnsetFinder::new(rate) }
    }

    /// The rate it listens at.
    pub fn rate(&self) -> SampleRate {
        self.rate
    }

    /// How many samples it has heard.
    pub fn heard(&self) -> SampleIndex {
        SampleIndex::new(self.sound.count())
    }

    /// Listens to the next samples, full scale being −1 to 1, and tells what was heard, in order of time of telling.
    /// Samples that are no numbers count as silence.
    pub fn listen(&mut self, samples: &[f32], mut tell: impl FnMut(Heard)) {
        for &sample in samples {
            self.sound.push(if sample.is_finite() { sample } else { 0.0 });
            if let Some(onset) = self.onsets.advance(&self.sound) {
                tell(Heard::Onset(onset));
            }
        }
    }
}
