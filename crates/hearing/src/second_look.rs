//! A second look at a passage, knowing what should sound in it.
//!
//! The first look ([`crate::Listener`]) finds attacks and guesses at notes. Once it is known about when each note of the
//! passage was to be plucked, every one is looked for by itself: at the attacks near its time, also those too faint for the
//! first look, and where its own partials rise. What speaks for each of these moments becomes odds, and the moments that
//! are likeliest for all notes together are taken. A note's lever may stand otherwise than it should, or half-way.

use leverlane_core::harp::StringSound;
use leverlane_core::pitch::{Cents, Hertz};
use leverlane_core::time::Seconds;

use crate::alignment::{Moment, Placed, align};
use crate::attack::AttackTime;
use crate::clock::{SampleIndex, SampleRate};
use crate::growth::Growth;
use crate::lever_reading::PluckedString;
use crate::onset::OnsetCurve;
use crate::partial_rise::PartialRise;
use crate::pluck_odds::log_odds;
use crate::pluck_signs::{PluckSigns, ReadMoment, SIGNS};
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
/// Pitches are tried so many cents apart.
const STEP_CENTS: f64 = 5.0;
/// How far beside its two states a string's pitch is looked for.
const BESIDE_CENTS: f64 = 45.0;
/// How far from its likely times a note is looked for.
const WITHIN: Seconds = Seconds::new(0.14);
/// How far apart moments are tried, and how far apart they are at least in the end.
const STEP: Seconds = Seconds::new(0.004);
const APART: Seconds = Seconds::new(0.003);
/// How likely it is at least that something begins where an attack may have been that the first look did not tell.
const FAINT: f32 = 0.03;
/// By how many decades a note's partials rise at a moment that is no attack of the first look.
const STEEPEST: f64 = 0.06;

/// So many times are likely for a note.
pub(crate) const LIKELY_TIMES: usize = 3;
/// So many notes beside it each make one more time possible.
pub(crate) const BESIDE_TIMES: usize = 4;

/// A note that should have been plucked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct WantedNote {
    /// When it is written.
    pub written: SampleIndex,
    /// When it most likely was played: by the notes about it, by those before it, by those after it.
    pub likely: [SampleIndex; LIKELY_TIMES],
    /// When it was by each of the notes beside it alone: where she waits and a string comes twice, they disagree.
    pub beside: [SampleIndex; BESIDE_TIMES],
    /// The string's pitch with its lever down.
    pub open: Hertz,
    /// Whether the string has a lever.
    pub lever: FittedLever,
    /// How far above the open pitch it should sound.
    pub raise: Cents,
}

/// Whether a string has a lever.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum FittedLever {
    /// It can be raised.
    Fitted,
    /// It always sounds open.
    None,
}

/// A moment at which a wanted note may have been plucked.
#[derive(Clone, Copy, Debug)]
pub(crate) struct MaybePlucked {
    /// When.
    pub at: SampleIndex,
    /// How far above its open pitch the string sounds then.
    pub raise: Cents,
    /// Natural logarithm of the odds that the string was plucked then.
    pub log_odds: f64,
    /// What speaks for it and against it.
    pub(crate) signs: [f32; SIGNS],
}

/// Looks for wanted notes. It may allocate.
#[derive(Debug)]
pub(crate) struct SecondLook {
    rate: SampleRate,
    growth: Growth,
    rise: PartialRise,
    attack: AttackTime,
    signs: PluckSigns,
}

impl SecondLook {
    /// For sound at a rate.
    pub(crate) fn new(rate: SampleRate) -> SecondLook {
        SecondLook {
            rate,
            growth: Growth::new(rate),
            rise: PartialRise::new(rate),
            attack: AttackTime::new(rate),
            signs: PluckSigns::new(rate),
        }
    }

    /// Of the moments of each wanted note the one at which it was plucked, or none.
    pub(crate) fn plucked(&self, wanted: &[WantedNote], maybe: &[Vec<MaybePlucked>]) -> Vec<Option<MaybePlucked>> {
        let seconds = |index: SampleIndex| self.rate.time_of(index).get();
        let moments: Vec<Vec<Moment>> = maybe
            .iter()
            .map(|all| all.iter().map(|one| Moment { at: seconds(one.at), log_odds: one.log_odds }).collect())
            .collect();
        let string = |note: &WantedNote| wanted.iter().position(|other| other.open == note.open).unwrap_or(0);
        let notes = wanted.iter().zip(&moments);
        let placed: Vec<Placed<'_>> = notes
            .map(|(note, moments)| Placed { written: seconds(note.written), string: string(note), moments })
            .collect();
        align(&placed).into_iter().zip(maybe).map(|(place, all)| all.get(place?).copied()).collect()
    }

    /// For each wanted note the moments at which it may have been plucked, in order of time. `attacks` are those of the first
    /// look, in order of time; the excerpt should begin and end half a second outside the notes.
    pub(crate) fn moments(
        &mut self,
        sound: Excerpt<'_>,
        attacks: &[SampleIndex],
        wanted: &[WantedNote],
    ) -> Vec<Vec<MaybePlucked>> {
        let attacks: Vec<i64> = attacks.iter().map(|attack| attack.get() as i64).collect();
        let curve = OnsetCurve::of(self.rate, sound);
        let faint = curve
            .peaks(FAINT)
            .map(|rough| self.attack.near(rough, i64::MIN / 2, |from, stretch| sound.copy(from, stretch)));
        let mut beginnings: Vec<i64> = faint.chain(attacks.iter().copied()).collect();
        beginnings.sort_unstable();
        let strings = wanted_strings(wanted);
        let of_note = |index: usize| {
            let note = &wanted[index];
            let mut places = self.places(sound, &beginnings, note);
            places.sort_unstable();
            let apart = self.rate.samples_in(APART) as i64;
            places.dedup_by(|later, earlier| *later - *earlier < apart);
            let weighed = places.into_iter().map(|place| {
                let read = self.read(sound, &attacks, wanted, index, place);
                let signs = self.signs.at(sound, &attacks, &curve, &strings, index, read);
                MaybePlucked {
                    at: SampleIndex::new(place.max(0) as u64),
                    raise: Cents::new(read.raise),
                    log_odds: f64::from(log_odds(&signs)),
                    signs,
                }
            });
            weighed.collect()
        };
        (0..wanted.len()).map(of_note).collect()
    }

    /// The attacks near a note's likely times, and where its own partials rise most steeply: a note of a rolled chord may
    /// begin at an attack that the first look did not tell from its neighbours'.
    fn places(&mut self, sound: Excerpt<'_>, beginnings: &[i64], note: &WantedNote) -> Vec<i64> {
        let within = self.rate.samples_in(WITHIN) as i64;
        let times = || note.likely.iter().chain(&note.beside);
        let is_near = |place: i64| times().any(|at| (place - at.get() as i64).abs() <= within);
        let mut places: Vec<i64> = beginnings.iter().copied().filter(|&at| is_near(at)).collect();
        let step = self.rate.samples_in(STEP).max(1) as i64;
        let hertz = note.open.raised_by(note.raise).get();
        let ends = |at: &SampleIndex| (at.get() as i64 - within, at.get() as i64 + within);
        let (first, last) = times().map(ends).fold((i64::MAX, i64::MIN), |(a, b), (c, d)| (a.min(c), b.max(d)));
        let grid: Vec<i64> = (first..=last).step_by(step as usize).filter(|&place| is_near(place)).collect();
        let rises: Vec<f64> = grid.iter().map(|&place| self.rise.at(&sound, place, hertz)).collect();
        for n in 1..grid.len().saturating_sub(1) {
            if rises[n] >= STEEPEST && rises[n] >= rises[n - 1] && rises[n] > rises[n + 1] {
                places.push(self.attack.near(grid[n], i64::MIN / 2, |from, stretch| sound.copy(from, stretch)));
            }
        }
        places
    }

    /// How much of the string's partials is new at an attack, and at which raise most.
    fn read(
        &mut self,
        sound: Excerpt<'_>,
        attacks: &[i64],
        wanted: &[WantedNote],
        index: usize,
        place: i64,
    ) -> ReadMoment {
        let together = self.rate.samples_in(TOGETHER) as i64;
        let next = attacks.iter().copied().find(|&attack| attack > place + together);
        let free = next.map_or(u64::MAX / 2, |next| (next - place) as u64);
        let at = place.max(0) as u64;
        self.growth.look(&sound, at, at, free);
        let note = &wanted[index];
        let company = self.rate.samples_in(COMPANY) as u64;
        let others: Vec<f64> = wanted
            .iter()
            .filter(|other| other.likely[0].get().abs_diff(note.likely[0].get()) <= company && other.open != note.open)
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
        let margin = ((best.0 - second) / best.0.max(1e-6)).clamp(0.0, 1.0);
        ReadMoment { at: place, raise: best.1, share: best.0, margin }
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

/// The strings as they should be plucked.
fn wanted_strings(wanted: &[WantedNote]) -> Vec<PluckedString> {
    let begins = |note: &WantedNote| note.likely[0].get() as i64;
    let string = |note: &WantedNote| {
        let again = wanted.iter().filter(|other| other.open == note.open).map(begins);
        let until = again.filter(|&at| at > begins(note)).min().unwrap_or(i64::MAX / 2);
        let raise = note.raise.get();
        let (up, sound) = (Cents::SEMITONE.get(), StringSound::UNHEARD);
        PluckedString { open: note.open, raise, expected: raise, up, sound, from: begins(note), until }
    };
    wanted.iter().map(string).collect()
}
