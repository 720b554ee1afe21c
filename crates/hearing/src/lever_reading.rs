//! What a string's partials say of its lever, once it is known about when every string of the passage was plucked.
//!
//! Each raise is tried in turn: the partials that the string would have then are fitted to the sound after the pluck, with
//! those of the strings that sound beside it. A partial that is there speaks for a raise, one that is missing against it,
//! and one that a neighbour has too says nothing. Where it is known which partials a string has, only those are expected.

use leverlane_core::harp::{LeverState, StringSound, Timbre};
use leverlane_core::pitch::{Cents, Hertz};
use leverlane_core::time::Seconds;

use crate::clock::SampleRate;
use crate::partial_fit::PartialFit;
use crate::recent::Excerpt;

/// The stretches that are listened to, the longer one where the string rings long enough.
const STRETCHES: (Seconds, Seconds) = (Seconds::new(0.372), Seconds::new(0.186));
/// How long after a pluck listening begins.
const AFTER_PLUCK: Seconds = Seconds::new(0.005);
/// Raises are tried so many cents apart, from so far below the open pitch to so far above the raised one.
const STEP_CENTS: f64 = 2.5;
const BESIDE_CENTS: f64 = 45.0;
/// Raised by up to this far from open or from what its lever raises it by a string is in that state;
const STATE_CENTS: f64 = 20.0;
/// from this far from both on its lever stands half-way.
const HALF_CENTS: f64 = 30.0;
/// So many partials of the string are looked at, and of its neighbours, and none above so many hertz.
const PARTIALS: u32 = 8;
const NEIGHBOURS_PARTIALS: u32 = 12;
const HIGHEST_HZ: f64 = 4_500.0;
/// A partial so far below the loudest is missing (decibels).
const FAINTEST_DB: f64 = 42.0;
/// A partial that is there by this share of the way from missing to the loudest speaks neither for nor against.
const NEITHER: f64 = 0.2;
/// What is expected is a little likelier than what is not.
const EXPECTED: f64 = 0.02;
/// A string sounds on for so many seconds at most, as far as its neighbours go.
const RINGS: f64 = 5.0;
/// A neighbour that sounds in less than this share of a stretch is left out.
const LEAST_BESIDE: i64 = 5;
/// The usual stiffness of a nylon string (assumed gauges, C3 to C6: 0.8 to 2 · 10⁻⁴).
const STIFFNESS: f64 = 1.0e-4;

/// A string as it was plucked in the passage.
#[derive(Clone, Copy, Debug)]
pub(crate) struct PluckedString {
    /// Its pitch with its lever down.
    pub(crate) open: Hertz,
    /// How far above that it sounds, as far as is known, in cents.
    pub(crate) raise: f64,
    /// How far it should be raised.
    pub(crate) expected: f64,
    /// How far its lever raises it.
    pub(crate) up: f64,
    /// How it sounds, as far as that was measured.
    pub(crate) sound: StringSound,
    /// The pluck, and the next one of the same string.
    pub(crate) from: i64,
    pub(crate) until: i64,
}

/// How a lever stands by the sound of its string.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum ReadState {
    Open,
    Half,
    Up,
}

/// A lever as it was read.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ReadLever {
    pub(crate) state: ReadState,
    /// How far the string sounds above its open pitch, in cents.
    pub(crate) raise: f64,
    /// By how much this state is likelier than the next one; a whole string's worth of partials is 1.
    pub(crate) margin: f64,
}

/// Reads levers.
#[derive(Debug)]
pub(crate) struct LeverReading {
    rate: SampleRate,
    long: PartialFit,
    short: PartialFit,
}

impl LeverReading {
    pub(crate) fn new(rate: SampleRate) -> LeverReading {
        let (long, short) = (PartialFit::new(rate, STRETCHES.0), PartialFit::new(rate, STRETCHES.1));
        LeverReading { rate, long, short }
    }

    /// How the lever of one of the plucked strings stood when it was plucked, by both stretches together: the longer one
    /// tells neighbours apart, the shorter one hears less of what comes after.
    pub(crate) fn at_pluck(&mut self, sound: Excerpt<'_>, plucked: &[PluckedString], index: usize) -> ReadLever {
        let from = plucked[index].from + self.rate.samples_in(AFTER_PLUCK) as i64;
        let mut worths = worths(&mut self.short, sound, plucked, index, from);
        if from + self.long.length() <= plucked[index].until {
            let longer = self::worths(&mut self.long, sound, plucked, index, from);
            for (worth, longer) in worths.iter_mut().zip(longer) {
                worth.worth = (worth.worth + longer.worth) / 2.0;
            }
        }
        likeliest(&worths, &plucked[index])
    }

    /// How it stood in the first moments, where it may have been moved soon after.
    pub(crate) fn at_first(&mut self, sound: Excerpt<'_>, plucked: &[PluckedString], index: usize) -> ReadLever {
        let from = plucked[index].from + self.rate.samples_in(AFTER_PLUCK) as i64;
        read(&mut self.short, sound, plucked, index, from)
    }

    /// How it stands so long after the pluck; none where the string is plucked again before that is heard.
    pub(crate) fn later(
        &mut self,
        sound: Excerpt<'_>,
        plucked: &[PluckedString],
        index: usize,
        after: Seconds,
    ) -> Option<ReadLever> {
        let from = plucked[index].from + self.rate.samples_in(after) as i64;
        let rings = from + self.short.length() <= plucked[index].until;
        rings.then(|| read(&mut self.short, sound, plucked, index, from))
    }
}

/// What speaks for a raise.
#[derive(Clone, Copy, Debug)]
struct RaiseWorth {
    /// In cents.
    raise: f64,
    /// A whole string's worth of partials is 1.
    worth: f64,
}

fn read(fit: &mut PartialFit, sound: Excerpt<'_>, plucked: &[PluckedString], index: usize, from: i64) -> ReadLever {
    likeliest(&worths(fit, sound, plucked, index, from), &plucked[index])
}

/// What speaks for each raise in a stretch.
fn worths(
    fit: &mut PartialFit,
    sound: Excerpt<'_>,
    plucked: &[PluckedString],
    index: usize,
    from: i64,
) -> Vec<RaiseWorth> {
    fit.look(&sound, from);
    let own = &plucked[index];
    let others = partials_beside(plucked, own, (from, from + fit.length()), fit.per_second());
    let steps = ((own.up + 2.0 * BESIDE_CENTS) / STEP_CENTS) as usize;
    let raises = (0..=steps).map(|step| STEP_CENTS * step as f64 - BESIDE_CENTS);
    let fitted: Vec<(f64, Vec<(f64, f64)>)> =
        raises.map(|raise| (raise, partials_at(fit, own, raise, &others))).collect();
    let loudest = fitted.iter().flat_map(|(_, partials)| partials).map(|partial| partial.0).fold(1e-7, f64::max);
    let expected = [LeverState::Down, LeverState::Up].map(|state| expected_partials(own, state));
    let worth = |raise: f64, partials: &[(f64, f64)]| {
        let expected = &expected[usize::from(raise > own.up / 2.0)];
        let each = expected.iter().map(|&index| {
            let (amplitude, own) = partials[index];
            own * (presence(20.0 * (amplitude.max(1e-7) / loudest).log10()) - NEITHER)
        });
        each.sum::<f64>() / expected.len() as f64
    };
    fitted.iter().map(|(raise, partials)| RaiseWorth { raise: *raise, worth: worth(*raise, partials) }).collect()
}

/// How far a partial is there, 0 to 1, by its level against the loudest.
fn presence(level: f64) -> f64 {
    (1.0 + level / FAINTEST_DB).clamp(0.0, 1.0)
}

/// Which of the partials that are looked at a string should have in a lever state, from 0: those that it had when it was
/// measured; all, where it was not or had none of them.
fn expected_partials(own: &PluckedString, state: LeverState) -> Vec<usize> {
    let count = numbers(own.open.get(), PARTIALS).count();
    let had = |timbre: &Timbre| {
        let levels = timbre.levels().iter().take(count).enumerate();
        levels.filter(|(_, level)| presence(**level) > 0.0).map(|(index, _)| index).collect::<Vec<usize>>()
    };
    let had = own.sound.in_state(state).map(had).filter(|had| !had.is_empty());
    had.unwrap_or_else(|| (0..count).collect())
}

/// The likeliest of the three states by the worth of each raise.
fn likeliest(worths: &[RaiseWorth], own: &PluckedString) -> ReadLever {
    let best = |low: f64, high: f64| {
        let within = worths.iter().filter(|tried| (low..=high).contains(&tried.raise));
        let best = within.max_by(|a, b| a.worth.total_cmp(&b.worth));
        best.map_or((f64::NEG_INFINITY, low), |best| (best.worth, best.raise))
    };
    let mut states = [
        (ReadState::Open, best(-STATE_CENTS, STATE_CENTS)),
        (ReadState::Half, best(HALF_CENTS, own.up - HALF_CENTS)),
        (ReadState::Up, best(own.up - STATE_CENTS, own.up + STATE_CENTS)),
    ];
    states[if own.expected > own.up / 2.0 { 2 } else { 0 }].1.0 += EXPECTED;
    states.sort_by(|a, b| b.1.0.total_cmp(&a.1.0));
    let [(state, (worth, raise)), (_, (second, _)), _] = states;
    ReadLever { state, raise, margin: worth - second }
}

/// The numbers of a string's partials that are looked at.
pub(crate) fn numbers(hertz: f64, most: u32) -> impl Iterator<Item = f64> {
    (1..=most).map(f64::from).take_while(move |n| n * hertz < HIGHEST_HZ || *n < 2.0)
}

pub(crate) fn partial(hertz: f64, number: f64) -> f64 {
    stiff_partial(hertz, number, STIFFNESS)
}

/// Where a partial of a string of stiffness B lies.
pub(crate) fn stiff_partial(hertz: f64, number: f64, stiffness: f64) -> f64 {
    hertz * number * (1.0 + stiffness * number * number).sqrt()
}

/// Amplitude of each partial at a raise, and how much of it is the string's own.
fn partials_at(fit: &PartialFit, own: &PluckedString, raise: f64, others: &[f64]) -> Vec<(f64, f64)> {
    let hertz = own.open.raised_by(Cents::new(raise)).get();
    let fitted = numbers(own.open.get(), PARTIALS).map(|number| fit.fit(partial(hertz, number), others));
    fitted.map(|fitted| (fitted.amplitude, fitted.own)).collect()
}

/// The partials of the other strings that sound in a stretch, from below.
pub(crate) fn partials_beside(
    plucked: &[PluckedString],
    own: &PluckedString,
    stretch: (i64, i64),
    per_second: f64,
) -> Vec<f64> {
    let least = (stretch.1 - stretch.0) / LEAST_BESIDE;
    let rings = (RINGS * per_second) as i64;
    let sounds = |other: &&PluckedString| {
        other.open != own.open
            && other.from <= stretch.1 - least
            && other.until >= stretch.0 + least / 2
            && other.from >= stretch.0 - rings
    };
    let of_string = |other: &PluckedString| {
        let hertz = other.open.raised_by(Cents::new(other.raise)).get();
        let state = if other.raise > other.up / 2.0 { LeverState::Up } else { LeverState::Down };
        let level = |number: u32| other.sound.in_state(state).and_then(|timbre| timbre.level(number as usize));
        let sounds = |number: &u32| level(*number).is_none_or(|level| presence(level) > 0.0);
        // What a neighbour is known to lack covers nothing.
        let numbers = (1..=NEIGHBOURS_PARTIALS).filter(sounds).map(f64::from);
        numbers.map(|number| partial(hertz, number)).collect::<Vec<f64>>()
    };
    let mut partials: Vec<f64> = plucked.iter().filter(sounds).flat_map(of_string).collect();
    partials.sort_by(f64::total_cmp);
    partials
}
