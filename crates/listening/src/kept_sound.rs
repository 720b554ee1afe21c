//! The sound of the pass that is played just now, kept in memory only until that pass has been judged.

use std::collections::VecDeque;

use leverlane_core::pitch::{Cents, MidiNote};
use leverlane_core::time::Seconds;
use leverlane_core::verdict::HeardNote;
use leverlane_hearing::{Excerpt, FirstLook, SampleIndex, SampleRate};

/// No more than this is ever kept: longer passes are judged by the first look alone.
const MOST: Seconds = Seconds::new(300.0);
/// Before a pass and after its last note.
const AROUND: Seconds = Seconds::new(4.0);

/// The last stretch of sound, with the attacks and notes in it, by the listener's own count.
#[derive(Debug)]
pub(crate) struct KeptSound {
    rate: SampleRate,
    length: usize,
    samples: VecDeque<f32>,
    /// How many samples there have been.
    count: u64,
    attacks: VecDeque<SampleIndex>,
    notes: VecDeque<HeardNote>,
}

impl KeptSound {
    /// Nothing is kept before [`KeptSound::keep`].
    pub(crate) fn new(rate: SampleRate) -> KeptSound {
        KeptSound {
            rate,
            length: 0,
            samples: VecDeque::new(),
            count: 0,
            attacks: VecDeque::new(),
            notes: VecDeque::new(),
        }
    }

    /// Keeps as much as a pass needs whose last note is so late.
    pub(crate) fn keep(&mut self, last_note: Seconds) {
        let wanted = (last_note + AROUND + AROUND).get().min(MOST.get());
        self.length = self.length.max(self.rate.samples_in(Seconds::new(wanted)));
    }

    /// Takes more sound.
    pub(crate) fn hear(&mut self, samples: impl ExactSizeIterator<Item = f32>) {
        self.count += samples.len() as u64;
        self.samples.extend(samples);
        let excess = self.samples.len().saturating_sub(self.length);
        self.samples.drain(..excess);
        let oldest = self.oldest();
        while self.attacks.front().is_some_and(|attack| attack.get() < oldest) {
            self.attacks.pop_front();
        }
        let oldest = self.rate.time_of(SampleIndex::new(oldest));
        while self.notes.front().is_some_and(|note| note.at.get() < oldest.get()) {
            self.notes.pop_front();
        }
    }

    fn oldest(&self) -> u64 {
        self.count - self.samples.len() as u64
    }

    /// Takes note of an attack.
    pub(crate) fn note_attack(&mut self, at: SampleIndex) {
        // They come almost in order: a note's own attack only once the note is known.
        let place = self.attacks.partition_point(|attack| *attack < at);
        if self.attacks.get(place) != Some(&at) {
            self.attacks.insert(place, at);
        }
    }

    /// Takes note of a note.
    pub(crate) fn note_note(&mut self, at: SampleIndex, note: MidiNote, cents: Cents, certainty: f64) {
        self.notes.push_back(HeardNote { at: self.rate.time_of(at), note, cents, certainty });
    }

    /// What has been kept since a moment of the listener's count, the first look beside it. None where it no longer reaches
    /// back so far.
    pub(crate) fn since(&mut self, from: Seconds) -> Option<(FirstLook<'_>, Excerpt<'_>)> {
        let starts = SampleIndex::new(self.oldest());
        if from.get() < self.rate.time_of(starts).get() {
            return None;
        }
        let first = FirstLook { notes: self.notes.make_contiguous(), attacks: self.attacks.make_contiguous() };
        Some((first, Excerpt { starts, samples: self.samples.make_contiguous() }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Arithmetic: a last note at 2 s needs 10 s; after 12 s the first two are gone, and what was noted in them.
    #[test]
    fn no_more_is_kept_than_a_pass_needs() {
        let rate = SampleRate::new(8_000).unwrap();
        let mut kept = KeptSound::new(rate);
        kept.hear(std::iter::repeat_n(0.5, 8_000));
        assert!(kept.since(Seconds::new(0.5)).is_none(), "nothing was asked, nothing is kept");
        let mut kept = KeptSound::new(rate);
        kept.keep(Seconds::new(2.0));
        kept.note_attack(SampleIndex::new(8_000));
        kept.note_attack(SampleIndex::new(24_000));
        kept.hear(std::iter::repeat_n(0.5, 96_000));
        let (first, sound) = kept.since(Seconds::new(2.0)).unwrap();
        assert_eq!(first.attacks, [SampleIndex::new(24_000)]);
        assert_eq!((sound.starts.get(), sound.samples.len()), (16_000, 80_000));
        assert!(kept.since(Seconds::new(1.9)).is_none());
    }
}
