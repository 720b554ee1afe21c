//! The ear: samples in, what was heard out.

use leverlane_core::pitch::Hertz;
use leverlane_core::time::Seconds;

use crate::clock::{SampleIndex, SampleRate};
use crate::moment::{HeardNote, Moments};
use crate::onset::{Onset, OnsetFinder};
use crate::recent::Recent;

/// How much sound is kept to look back at.
const KEPT: Seconds = Seconds::new(1.5);
/// How often it is looked whether a moment is over, in samples.
const LOOK_EVERY: u64 = 256;
/// How much silence after the end lets everything be told.
const RING_OUT: Seconds = Seconds::new(0.5);

/// How long before the end of the sound nothing counts as an attack any more.
const CRACK: Seconds = Seconds::new(0.03);

/// Something that was heard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Heard {
    /// Something began to sound some 70 ms ago; whether it was a string only its notes tell.
    Onset(Onset),
    /// A string was plucked some 250 ms ago.
    Note(HeardNote),
}

/// Listens to one channel of sound, in blocks of any size: what is heard does not depend on how the sound is divided.
///
/// Everything is allocated by [`Listener::new`], nothing while listening.
#[derive(Debug)]
pub struct Listener {
    rate: SampleRate,
    sound: Recent,
    onsets: OnsetFinder,
    moments: Moments,
}

impl Listener {
    /// An ear for sound at a rate. Notes near `likely` are taken more readily than others: the strings of the harp, or of
    /// the passage, open and raised. With none, every note is equally likely.
    pub fn new(rate: SampleRate, likely: &[Hertz]) -> Listener {
        Listener {
            rate,
            sound: Recent::with_room_for(rate.samples_in(KEPT)),
            onsets: OnsetFinder::new(rate),
            moments: Moments::new(rate, likely),
        }
    }

    /// The same ear for a harp whose A4 is tuned to this; without it, to 440 Hz (ISO 16).
    pub fn at_concert_pitch(self, concert_pitch: Hertz) -> Listener {
        Listener { moments: self.moments.at_concert_pitch(concert_pitch), ..self }
    }

    /// The rate it listens at.
    pub fn rate(&self) -> SampleRate {
        self.rate
    }

    /// How many samples it has heard.
    pub fn heard(&self) -> SampleIndex {
        SampleIndex::new(self.sound.count())
    }

    /// Listens to the next samples, full scale being −1 to 1, and tells what was heard. Samples that are no numbers
    /// count as silence.
    ///
    /// Onsets come in order of time, and so do notes.
    pub fn listen(&mut self, samples: &[f32], mut tell: impl FnMut(Heard)) {
        for &sample in samples {
            self.take(sample, u64::MAX, &mut tell);
        }
    }

    /// Tells what is still to be told when no more sound comes. Afterwards half a second of silence has been heard.
    pub fn finish(&mut self, mut tell: impl FnMut(Heard)) {
        // Strings cut off in their ringing crack; that is no pluck.
        let until = self.sound.count().saturating_sub(self.rate.samples_in(CRACK) as u64);
        for _ in 0..self.rate.samples_in(RING_OUT) {
            self.take(0.0, until, &mut tell);
        }
    }

    /// Takes a sample. Attacks from `until` on are not told.
    fn take(&mut self, sample: f32, until: u64, tell: &mut impl FnMut(Heard)) {
        self.sound.push(if sample.is_finite() { sample } else { 0.0 });
        let onset = self.onsets.advance(&self.sound);
        if let Some(onset) = onset.filter(|onset| onset.at.get() < until) {
            self.moments.push(onset);
            tell(Heard::Onset(onset));
        }
        if self.sound.count().is_multiple_of(LOOK_EVERY)
            && let Some(notes) = self.moments.next(&self.sound, &mut self.onsets)
        {
            for &note in notes {
                tell(Heard::Note(note));
            }
        }
    }
}
