//! What a string's partials say of its lever, once it is known about when every string of the passage was plucked.
//!
//! Each raise is tried in turn: the partials that the string would have then are fitted to the sound after the pluck, with
//! those of the strings that sound beside it. A partial that is there speaks for a raise, one that is missing against it,
//! and one that a neighbour has too says nothing. Where it is known which partials a string has, only those are expected.
//! What all that makes likely is for [`crate::lever_odds`] to say.

use leverlane_core::harp::{LeverState, StringSound, Timbre};
use leverlane_core::pitch::{Cents, Hertz};

use crate::partial_fit::{FittedPartial, PartialFit};
use crate::recent::Excerpt;

/// Raises are tried so many cents apart, from so far below the open pitch to so far above the raised one.
const STEP_CENTS: f64 = 2.5;
const BESIDE_CENTS: f64 = 45.0;
/// Raised by up to this far from open or from what its lever raises it by a string is in that state;
const STATE_CENTS: f64 = 20.0;
/// from this far from both on its lever stands half-way.
const HALF_CENTS: f64 = 30.0;
/// So many partials of the string are looked at, and of its neighbours, and none above so many hertz.
pub(crate) const PARTIALS: usize = 8;
const NEIGHBOURS_PARTIALS: u32 = 12;
const HIGHEST_HZ: f64 = 4_500.0;
/// A partial so far below the loudest is missing (decibels).
const FAINTEST_DB: f64 = 42.0;
/// A partial that is there by this share of the way from missing to the loudest speaks neither for nor against.
const NEITHER: f64 = 0.2;
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

/// A state as far as the sound of a stretch speaks for it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct StateWorth {
    /// What speaks for the likeliest raise of the state; a whole string's worth of partials is 1.
    pub(crate) worth: f64,
    /// That raise in cents.
    pub(crate) raise: f64,
    /// How much of the string's partials there is its own, 0 to 1.
    pub(crate) own: f64,
    /// The partials there, from below; silent ones where there are no more.
    pub(crate) partials: [FittedPartial; PARTIALS],
}

/// What the sound of a stretch says of a lever.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct LeverWorths {
    /// For the string as it is asked, for its other state, and half-way.
    pub(crate) asked: StateWorth,
    pub(crate) other: StateWorth,
    pub(crate) half: StateWorth,
    /// The amplitude of the loudest partial at any of the raises, full scale being 1.
    pub(crate) loudest: f64,
}

/// Whether a string is asked to be raised.
pub(crate) fn is_asked_raised(own: &PluckedString) -> bool {
    own.expected > own.up / 2.0
}

/// What speaks for each state of a string's lever in the stretch from a sample on.
pub(crate) fn lever_worths(
    fit: &mut PartialFit,
    sound: Excerpt<'_>,
    plucked: &[PluckedString],
    index: usize,
    from: i64,
) -> LeverWorths {
    fit.look(&sound, from);
    let own = &plucked[index];
    let others = partials_beside(plucked, own, (from, from + fit.length()), fit.per_second());
    let steps = ((own.up + 2.0 * BESIDE_CENTS) / STEP_CENTS) as usize;
    let raises = (0..=steps).map(|step| STEP_CENTS * step as f64 - BESIDE_CENTS);
    let fitted: Vec<(f64, [FittedPartial; PARTIALS])> =
        raises.map(|raise| (raise, partials_at(fit, own, raise, &others))).collect();
    let loudest =
        fitted.iter().flat_map(|(_, partials)| partials).map(|partial| partial.amplitude).fold(1e-7, f64::max);
    let expected = [LeverState::Down, LeverState::Up].map(|state| expected_partials(own, state));
    let tried = fitted.iter().map(|(raise, partials)| {
        let expected = &expected[usize::from(*raise > own.up / 2.0)];
        let worth = expected.iter().map(|&index| {
            let FittedPartial { amplitude, own } = partials[index];
            own * (presence(20.0 * (amplitude.max(1e-7) / loudest).log10()) - NEITHER)
        });
        let mean = |sum: f64| sum / expected.len() as f64;
        let alone = expected.iter().map(|&index| partials[index].own);
        StateWorth { worth: mean(worth.sum()), raise: *raise, own: mean(alone.sum()), partials: *partials }
    });
    let tried: Vec<StateWorth> = tried.collect();
    let best = |low: f64, high: f64| {
        let within = tried.iter().filter(|tried| (low..=high).contains(&tried.raise));
        within.max_by(|a, b| a.worth.total_cmp(&b.worth)).copied().unwrap_or_default()
    };
    let half = best(HALF_CENTS, own.up - HALF_CENTS);
    let (open, up) = (best(-STATE_CENTS, STATE_CENTS), best(own.up - STATE_CENTS, own.up + STATE_CENTS));
    let (asked, other) = if is_asked_raised(own) { (up, open) } else { (open, up) };
    LeverWorths { asked, other, half, loudest }
}

/// How far a partial is there, 0 to 1, by its level against the loudest.
fn presence(level: f64) -> f64 {
    (1.0 + level / FAINTEST_DB).clamp(0.0, 1.0)
}

/// Which of the partials that are looked at a string should have in a lever state, from 0: those that it had when it was
/// measured; all, where it was not or had none of them.
fn expected_partials(own: &PluckedString, state: LeverState) -> Vec<usize> {
    let count = numbers(own.open.get(), PARTIALS as u32).count();
    let had = |timbre: &Timbre| {
        let levels = timbre.levels().iter().take(count).enumerate();
        levels.filter(|(_, level)| presence(**level) > 0.0).map(|(index, _)| index).collect::<Vec<usize>>()
    };
    let had = own.sound.in_state(state).map(had).filter(|had| !had.is_empty());
    had.unwrap_or_else(|| (0..count).collect())
}

/// Which share of the partials that are looked at is expected of a string: as it is asked, and in its other state.
pub(crate) fn share_expected(own: &PluckedString) -> [f64; 2] {
    let [asked, other] = match is_asked_raised(own) {
        true => [LeverState::Up, LeverState::Down],
        false => [LeverState::Down, LeverState::Up],
    };
    [asked, other].map(|state| expected_partials(own, state).len() as f64 / PARTIALS as f64)
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

/// Each of the string's partials at a raise.
pub(crate) fn partials_at(
    fit: &PartialFit,
    own: &PluckedString,
    raise: f64,
    others: &[f64],
) -> [FittedPartial; PARTIALS] {
    let hertz = own.open.raised_by(Cents::new(raise)).get();
    let mut partials = [FittedPartial::default(); PARTIALS];
    for (number, into) in numbers(own.open.get(), PARTIALS as u32).zip(&mut partials) {
        *into = fit.fit(partial(hertz, number), others);
    }
    partials
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

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use leverlane_core::time::Seconds;

    use super::*;
    use crate::clock::{SampleIndex, SampleRate};

    /// Truth: a synthetic string, raised by 0, 50 or 100 cents, beside a fifth that rings on: whichever state it sounds in
    /// has the most worth, at its raise, whether it is asked to be up or open.
    #[test]
    fn the_state_that_sounds_is_worth_most() {
        let rate = SampleRate::new(44_100).unwrap();
        let mut fit = PartialFit::new(rate, Seconds::new(0.372));
        let open = Hertz::new(293.66).unwrap();
        let fifth = open.raised_by(Cents::new(702.0));
        for raise in [0.0, 50.0, 100.0] {
            let strings = [(open.raised_by(Cents::new(raise)).get(), 0.1), (fifth.get(), 0.1)];
            let sample = |n: i32| {
                let time = f64::from(n) / 44_100.0;
                let partials =
                    strings.iter().flat_map(|&(hertz, loud)| (1..=8).map(move |k| (hertz, loud, f64::from(k))));
                partials.map(|(hertz, loud, k)| loud / k * (TAU * partial(hertz, k) * time + k).sin()).sum::<f64>()
                    as f32
            };
            let samples: Vec<f32> = (0..20_000).map(sample).collect();
            let sound = Excerpt { starts: SampleIndex::new(0), samples: &samples };
            for expected in [0.0, 100.0] {
                let string = |open: Hertz, raise: f64, expected: f64| PluckedString {
                    open,
                    raise,
                    expected,
                    up: 100.0,
                    sound: StringSound::UNHEARD,
                    from: 0,
                    until: i64::MAX / 2,
                };
                let plucked = [string(open, raise, expected), string(fifth, 0.0, 0.0)];
                let worths = lever_worths(&mut fit, sound, &plucked, 0, 1_000);
                let states = [(worths.asked, expected), (worths.other, 100.0 - expected), (worths.half, 50.0)];
                let best = states.iter().max_by(|a, b| a.0.worth.total_cmp(&b.0.worth)).unwrap();
                assert_eq!(best.1, raise, "{worths:?}");
                assert!((best.0.raise - raise).abs() <= STEP_CENTS, "{worths:?}");
                assert!(best.0.own > 0.5 && (0.05..0.2).contains(&worths.loudest), "{worths:?}");
            }
        }
    }
}
