//! A second look at a passage, knowing what should sound in it.
//!
//! The first look ([`crate::Listener`]) finds attacks and guesses at notes. Once it is known about when each note of the
//! passage was to be plucked, every one is looked for by itself: in the partials that are its own, at the attacks near its
//! time. Its lever may stand otherwise than it should, or half-way.

use leverlane_core::pitch::{Cents, Hertz};
use leverlane_core::time::Seconds;

use crate::attack::AttackTime;
use crate::clock::{SampleIndex, SampleRate};
use crate::growth::Growth;
use crate::partial_rise::PartialRise;
use crate::recent::{Excerpt, Sound};

/// Attacks this near belong to one moment.
const TOGETHER: Seconds = Seconds::new(0.060);
/// Notes wanted within this of each other may sound into each other's partials.
const COMPANY: Seconds = Seconds::new(0.25);
/// So many partials are looked at.
const PARTIALS: usize = 8;
/// A partial that another wanted note has too counts so much.
const SHARED: f64 = 0.15;
/// New sound this much fainter than the loudest new sound of the moment counts as none (−36 dB).
const FAINTEST_DB: f64 = 36.0;
/// A note must have so much of its partials' weight.
const LEAST: f64 = 0.08;
/// Pitches are tried so many cents apart.
const STEP_CENTS: f64 = 5.0;
/// How far beside its two states a string's pitch is looked for.
const BESIDE_CENTS: f64 = 45.0;
/// How far the steepest rise is looked for where no attack was found.
const STEP: Seconds = Seconds::new(0.004);
/// How far from an attack a note's own beginning is looked for.
const AROUND: Seconds = Seconds::new(0.045);
/// A note whose partials rise most steeply further from the attack than this may have a beginning of its own,
const OWN_ATTACK: Seconds = Seconds::new(0.014);
/// and has one where they rise at the attack by less than this share of it.
const OWN_RISE: f64 = 0.5;
/// By how many decades a note's partials rise where no attack was found.
const UNATTACKED_RISE: f64 = 0.08;
/// The same at an attack: they need only not fall.
const LEAST_RISE: f64 = 0.0;

/// A note that should have been plucked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WantedNote {
    /// When it most likely was.
    pub at: SampleIndex,
    /// How far from that it may have been.
    pub within: Seconds,
    /// The string's pitch with its lever down.
    pub open: Hertz,
    /// Whether the string has a lever.
    pub lever: FittedLever,
    /// How far above the open pitch it should sound.
    pub raise: Cents,
}

/// Whether a string has a lever.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FittedLever {
    /// It can be raised.
    Fitted,
    /// It always sounds open.
    None,
}

/// A wanted note that was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FoundNote {
    /// When it began.
    pub at: SampleIndex,
    /// How far above its open pitch the string sounded.
    pub raise: Cents,
    /// How sure it is that this string was plucked, 0 to 1.
    pub certainty: f64,
    /// How much better this pitch fits than the best one 40 cents or more away, 0 to 1: how sure the lever's state is.
    pub pitch_certainty: f64,
    /// The share of the string's partials that sound new, 0 to 1, those that others have too counting little.
    pub share: f64,
    /// By how many decades its partials rise where it begins.
    pub rise: f64,
}

/// Looks for wanted notes. It may allocate.
#[derive(Debug)]
pub struct SecondLook {
    rate: SampleRate,
    growth: Growth,
    rise: PartialRise,
    attack: AttackTime,
}

/// What a string's partials say at an attack.
#[derive(Clone, Copy, Debug)]
struct Reading {
    share: f64,
    raise: f64,
    margin: f64,
}

impl SecondLook {
    /// For sound at a rate.
    pub fn new(rate: SampleRate) -> SecondLook {
        SecondLook { rate, growth: Growth::new(rate), rise: PartialRise::new(rate), attack: AttackTime::new(rate) }
    }

    /// Each wanted note as it was found, or none. `attacks` are those of the first look, in order of time; the excerpt
    /// should begin and end half a second outside the notes.
    pub fn look(
        &mut self,
        sound: Excerpt<'_>,
        attacks: &[SampleIndex],
        wanted: &[WantedNote],
    ) -> Vec<Option<FoundNote>> {
        (0..wanted.len()).map(|index| self.find(sound, attacks, wanted, index)).collect()
    }

    fn find(
        &mut self,
        sound: Excerpt<'_>,
        attacks: &[SampleIndex],
        wanted: &[WantedNote],
        index: usize,
    ) -> Option<FoundNote> {
        let note = &wanted[index];
        let (at, within) = (note.at.get() as i64, self.rate.samples_in(note.within) as i64);
        let near = |attack: &&SampleIndex| (attack.get() as i64 - at).abs() <= within;
        let mut best: Option<(f64, i64, Reading)> = None;
        for attack in attacks.iter().filter(near) {
            let place = attack.get() as i64;
            let reading = self.read(sound, attacks, wanted, index, place);
            let hertz = note.open.raised_by(Cents::new(reading.raise)).get();
            let rise = self.rise.at(&sound, place, hertz).clamp(0.0, 1.0);
            let late = (place - at).abs() as f64 / within.max(1) as f64;
            let worth = reading.share + 0.6 * rise - 0.3 * late;
            if reading.share >= LEAST && rise >= LEAST_RISE && best.as_ref().is_none_or(|best| worth > best.0) {
                best = Some((worth, place, reading));
            }
        }
        let (_, place, reading) = best.or_else(|| self.without_attack(sound, attacks, wanted, index))?;
        let hertz = note.open.raised_by(Cents::new(reading.raise)).get();
        let place = self.own_beginning(sound, place, hertz);
        Some(FoundNote {
            at: SampleIndex::new(place.max(0) as u64),
            raise: Cents::new(reading.raise),
            certainty: (reading.share / (2.0 * LEAST)).clamp(0.0, 1.0),
            pitch_certainty: reading.margin,
            share: reading.share,
            rise: self.rise.at(&sound, place, hertz),
        })
    }

    /// A note of a rolled chord may begin at an attack of its own that the first look did not tell from its neighbours'.
    fn own_beginning(&mut self, sound: Excerpt<'_>, place: i64, hertz: f64) -> i64 {
        let around = self.rate.samples_in(AROUND) as i64;
        let moments = (place - around..=place + around).step_by(self.rate.samples_in(STEP).max(1));
        let rises = moments.map(|moment| (self.rise.at(&sound, moment, hertz), moment));
        let Some((rise, rough)) = rises.max_by(|a, b| a.0.total_cmp(&b.0)) else { return place };
        let own = (rough - place).abs() > self.rate.samples_in(OWN_ATTACK) as i64;
        if own && self.rise.at(&sound, place, hertz) < OWN_RISE * rise {
            return self.attack.near(rough, i64::MIN / 2, |from, stretch| sound.copy(from, stretch));
        }
        place
    }

    /// Where no attack was found near: the steepest rise of the note's own partials.
    fn without_attack(
        &mut self,
        sound: Excerpt<'_>,
        attacks: &[SampleIndex],
        wanted: &[WantedNote],
        index: usize,
    ) -> Option<(f64, i64, Reading)> {
        let note = &wanted[index];
        let (at, within) = (note.at.get() as i64, self.rate.samples_in(note.within) as i64);
        let hertz = note.open.raised_by(note.raise).get();
        let moments = (at - within..=at + within).step_by(self.rate.samples_in(STEP).max(1));
        let rises = moments.map(|moment| (self.rise.at(&sound, moment, hertz), moment));
        let (rise, rough) = rises.max_by(|a, b| a.0.total_cmp(&b.0))?;
        if rise < UNATTACKED_RISE {
            return None;
        }
        let place = self.attack.near(rough, i64::MIN / 2, |from, stretch| sound.copy(from, stretch));
        let reading = self.read(sound, attacks, wanted, index, place);
        (reading.share >= LEAST).then_some((reading.share, place, reading))
    }

    /// How much of the string's partials is new at an attack, and at which raise most.
    fn read(
        &mut self,
        sound: Excerpt<'_>,
        attacks: &[SampleIndex],
        wanted: &[WantedNote],
        index: usize,
        place: i64,
    ) -> Reading {
        let together = self.rate.samples_in(TOGETHER) as i64;
        let next = attacks.iter().map(|attack| attack.get() as i64).find(|&attack| attack > place + together);
        let free = next.map_or(u64::MAX / 2, |next| (next - place) as u64);
        let at = place.max(0) as u64;
        self.growth.look(&sound, at, at, free);
        let note = &wanted[index];
        let company = self.rate.samples_in(COMPANY) as u64;
        let others: Vec<f64> = wanted
            .iter()
            .filter(|other| other.at.get().abs_diff(note.at.get()) <= company && other.open != note.open)
            .map(|other| other.open.raised_by(other.raise).get())
            .collect();
        let loudest = (0..self.growth.bins()).map(|bin| self.growth.sounding(bin)).fold(1e-6, f32::max);
        let highest = match note.lever {
            FittedLever::Fitted => 100.0,
            FittedLever::None => 0.0,
        };
        let steps = ((highest + 2.0 * BESIDE_CENTS) / STEP_CENTS) as i32;
        let tried = |step: i32| -BESIDE_CENTS + STEP_CENTS * f64::from(step);
        let shares: Vec<(f64, f64)> = (0..=steps)
            .map(tried)
            .map(|raise| {
                let hertz = note.open.raised_by(Cents::new(raise)).get();
                // What is expected is a little likelier than what is not.
                let likely = if (raise - note.raise.get()).abs() < 20.0 { 1.05 } else { 1.0 };
                (self.share(hertz, &others, loudest) * likely, raise)
            })
            .collect();
        let best = shares.iter().copied().max_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((0.0, 0.0));
        let far = shares.iter().filter(|share| (share.1 - best.1).abs() >= 40.0);
        let second = far.map(|share| share.0).fold(0.0, f64::max);
        Reading { share: best.0, raise: best.1, margin: ((best.0 - second) / best.0.max(1e-6)).clamp(0.0, 1.0) }
    }

    /// The share of a pitch's partials that is new, each by its level against the loudest.
    fn share(&self, hertz: f64, others: &[f64], loudest: f32) -> f64 {
        let (width, lobe) = (self.growth.bin_width(), self.growth.lobe());
        let (mut sum, mut weights) = (0.0, 0.0);
        for partial in 1..=PARTIALS {
            let number = partial as f64;
            let frequency = hertz * number * (1.0 + 1e-4 * number * number).sqrt();
            let place = frequency / width;
            let low = place.floor() as usize;
            if low + 1 >= self.growth.bins() {
                break;
            }
            // Read between the bins, so that a pitch beside the partial counts less.
            let between = (place - place.floor()) as f32;
            let value = self.growth.sounding(low) * (1.0 - between) + self.growth.sounding(low + 1) * between;
            let level = 20.0 * f64::from(value.max(1e-9) / loudest).log10();
            let shared = others.iter().any(|other| {
                let nearest = (frequency / other).round().max(1.0);
                (frequency - nearest * other).abs() < 0.8 * lobe * width && nearest <= 10.0
            });
            let weight = if shared { SHARED } else { 1.0 } / number.sqrt();
            sum += weight * (1.0 + level / FAINTEST_DB).clamp(0.0, 1.0);
            weights += weight;
        }
        if weights > 0.0 { sum / weights } else { 0.0 }
    }
}
