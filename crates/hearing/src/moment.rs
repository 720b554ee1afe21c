//! What was plucked at one moment: attacks close together, and the notes among them.

use leverlane_core::pitch::{Cents, Hertz, MidiNote, SpelledPitch};
use leverlane_core::time::Seconds;

use crate::clock::{SampleIndex, SampleRate};
use crate::growth::Growth;
use crate::onset::{Onset, OnsetFinder, TOLD_WITHIN};
use crate::partial_rise::PartialRise;
use crate::polyphony::{MOST_NOTES, Pitch, Polyphony, nearest_note};
use crate::recent::Recent;

/// Attacks nearer than this to the one before belong to one moment: a rolled chord, or two hands not quite together.
const TOGETHER: Seconds = Seconds::new(0.060);
/// No more attacks than this are taken as one moment.
const MOST_ATTACKS: usize = 8;
/// How far before the first attack and after the last the notes' own beginnings are looked for.
const AROUND: Seconds = Seconds::new(0.040);
/// In which steps.
const STEP: Seconds = Seconds::new(0.004);
/// A note begins at an attack that lies no further from the steepest rise of its partials than this.
const OWN_ATTACK: Seconds = Seconds::new(0.014);
/// Nor does it need a beginning of its own where its partials rise at the attack by this share of the steepest rise.
const OWN_RISE: f64 = 0.5;
/// By how many decades a note's partials must rise at its beginning.
const LEAST_RISE: f64 = 0.08;

/// A note that was heard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeardNote {
    /// When it began.
    pub at: SampleIndex,
    /// The nearest equal-tempered note at the listener's concert pitch.
    pub note: MidiNote,
    /// How far above that note it sounded.
    pub cents: Cents,
    /// How sure it is that this string was plucked, 0 to 1.
    pub certainty: f64,
    /// The amplitude of the loudest of its partials that are new, full scale being 1.
    pub strength: f64,
}

/// Gathers attacks into moments and finds the notes in each.
#[derive(Debug)]
pub(crate) struct Moments {
    rate: SampleRate,
    concert_pitch: Hertz,
    growth: Growth,
    polyphony: Polyphony,
    rise: PartialRise,
    attacks: [Onset; 2 * MOST_ATTACKS],
    waiting: usize,
    pitches: [Pitch; MOST_NOTES],
    notes: [HeardNote; MOST_NOTES],
}

impl Moments {
    pub(crate) fn new(rate: SampleRate, likely: &[Hertz]) -> Moments {
        let growth = Growth::new(rate);
        let nothing = Onset { at: SampleIndex::new(0), certainty: 0.0 };
        let (nowhere, note) = (SampleIndex::new(0), SpelledPitch::MIDDLE_C.midi());
        Moments {
            rate,
            concert_pitch: Hertz::A4,
            polyphony: Polyphony::new(growth.bins(), likely),
            growth,
            rise: PartialRise::new(rate),
            attacks: [nothing; 2 * MOST_ATTACKS],
            waiting: 0,
            pitches: [Pitch { hertz: 1.0, weight: 0.0 }; MOST_NOTES],
            notes: [HeardNote { at: nowhere, note, cents: Cents::new(0.0), certainty: 0.0, strength: 0.0 }; MOST_NOTES],
        }
    }

    /// Names notes where A4 is tuned to this.
    pub(crate) fn at_concert_pitch(self, concert_pitch: Hertz) -> Moments {
        Moments { concert_pitch, ..self }
    }

    /// Takes an attack.
    pub(crate) fn push(&mut self, onset: Onset) {
        if self.waiting < self.attacks.len() {
            self.attacks[self.waiting] = onset;
            self.waiting += 1;
        }
    }

    /// The notes of the next moment that is over, by time; to be called now and then.
    pub(crate) fn next(&mut self, sound: &Recent, onsets: &mut OnsetFinder) -> Option<&[HeardNote]> {
        let together = self.rate.samples_in(TOGETHER) as u64;
        let waiting = &self.attacks[..self.waiting];
        let first = waiting.first()?.at.get();
        let apart = |pair: &[Onset]| pair[1].at.get() - pair[0].at.get() > together;
        let members = waiting.windows(2).position(apart).map_or(self.waiting, |last| last + 1).min(MOST_ATTACKS);
        let last = waiting[members - 1].at.get();
        let told = self.rate.samples_in(TOLD_WITHIN) as u64;
        if sound.count() < last + Growth::looks_ahead(self.rate) + told {
            return None;
        }
        let free = waiting.get(members).map_or(u64::MAX / 2, |next| next.at.get() - last);
        self.growth.look(sound, first, last, free);
        let found = self.polyphony.find(&self.growth, &mut self.pitches);
        let mut count = 0;
        for index in 0..found {
            let pitch = self.pitches[index];
            if let Some(note) = self.begin(sound, onsets, pitch, members) {
                self.notes[count] = note;
                count += 1;
            }
        }
        self.attacks.copy_within(members.., 0);
        self.waiting -= members;
        self.notes[..count].sort_unstable_by_key(|note| (note.at, note.note));
        Some(&self.notes[..count])
    }

    /// When a note of this moment began; none where its partials did not rise.
    fn begin(&mut self, sound: &Recent, onsets: &mut OnsetFinder, pitch: Pitch, members: usize) -> Option<HeardNote> {
        let attacks = &self.attacks[..members];
        let (first, last) = (attacks[0].at.get() as i64, attacks[members - 1].at.get() as i64);
        let (around, step) = (self.rate.samples_in(AROUND) as i64, self.rate.samples_in(STEP).max(1));
        let mut steepest = (f64::MIN, first);
        for moment in (first - around..=last + around).step_by(step) {
            let rise = self.rise.at(sound, moment, pitch.hertz);
            if rise > steepest.0 {
                steepest = (rise, moment);
            }
        }
        let (rise, rough) = steepest;
        if rise < LEAST_RISE {
            return None;
        }
        let nearest = attacks.iter().map(|attack| attack.at.get() as i64).min_by_key(|at| (at - rough).abs())?;
        let own = self.rate.samples_in(OWN_ATTACK) as i64;
        let belongs = (nearest - rough).abs() <= own || self.rise.at(sound, nearest, pitch.hertz) > OWN_RISE * rise;
        let at = if belongs { nearest } else { onsets.attack_near(sound, rough, i64::MIN / 2) };
        let (note, cents) = nearest_note(pitch.hertz, self.concert_pitch);
        Some(HeardNote {
            at: SampleIndex::new(at.max(0) as u64),
            note: MidiNote::new(note)?,
            cents,
            certainty: (f64::from(pitch.weight) * (rise / 0.4).min(1.0)).clamp(0.0, 1.0),
            strength: self.growth.loudest_new(pitch.hertz),
        })
    }
}
