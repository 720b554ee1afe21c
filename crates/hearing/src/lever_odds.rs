//! How likely each thing is that may have become of a lever, by the signs of it: a small network, learnt from the same
//! instruments as [`crate::pluck_odds`] and sixteen further ones (`tests/benches/hearing/learn.rs`).

mod weights;

use crate::lever_signs::SIGNS;
use crate::network::{layer, sums};
use weights::{FIRST, FIRST_BIAS, LAST, LAST_BIAS, SECOND, SECOND_BIAS};

/// Units of the two layers between.
const UNITS: (usize, usize) = (192, 96);
/// How many things may have become of it.
pub(crate) const OUTCOMES: usize = 5;

/// What may have become of a lever when its string was to be plucked, in the order in which they were learnt.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum LeverOutcome {
    /// It stood as it should.
    AsAsked,
    /// It stood in its other state.
    Otherwise,
    /// It stood half-way.
    HalfWay,
    /// It came to where it should be while the string rang.
    Late,
    /// The string was not plucked at all.
    NotPlucked,
}

impl LeverOutcome {
    /// All of a string that was plucked.
    const OF_PLUCKED: [LeverOutcome; OUTCOMES - 1] =
        [LeverOutcome::AsAsked, LeverOutcome::Otherwise, LeverOutcome::HalfWay, LeverOutcome::Late];
}

/// How likely each outcome was taken to be before anything was heard (`learn_levers.py`).
pub(crate) const PRIOR: [f64; OUTCOMES] = [0.5, 0.15, 0.125, 0.1, 0.125];

/// How likely it must be that the string was not plucked, for it was found to be, to be taken for that: most are (found by
/// trial).
const NOT_PLUCKED: f32 = 0.8;

/// What rings half-way without being plucked counts this share of what it was learnt to. A string rings on as it was plucked,
/// and one of ten was plucked half-way in the drills that were learnt from, far fewer are in practice (the share is assumed).
const RINGS_HALF_WAY: f32 = 0.2;

/// How likely each outcome is by the sound of one pluck.
pub(crate) fn likelihoods(signs: &[f32; SIGNS]) -> [f32; OUTCOMES] {
    let first = layer(signs, &FIRST, &FIRST_BIAS);
    let second = layer(&first, &SECOND, &SECOND_BIAS);
    with_few_ringing_half_way(of_log_odds(sums(&second, &LAST, &LAST_BIAS)))
}

fn with_few_ringing_half_way(likely: [f32; OUTCOMES]) -> [f32; OUTCOMES] {
    let [as_asked, otherwise, half_way, late, not_plucked] = likely;
    let not_plucked = not_plucked * (1.0 - (1.0 - RINGS_HALF_WAY) * half_way_if_plucked(likely));
    scaled([as_asked, otherwise, half_way, late, not_plucked])
}

/// How likely a lever stands half-way, if its string was plucked.
pub(crate) fn half_way_if_plucked([as_asked, otherwise, half_way, late, _]: [f32; OUTCOMES]) -> f32 {
    half_way / (as_asked + otherwise + half_way + late).max(f32::MIN_POSITIVE)
}

fn of_log_odds(log_odds: [f32; OUTCOMES]) -> [f32; OUTCOMES] {
    let most = log_odds.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    scaled(log_odds.map(|odds| (odds - most).exp()))
}

fn scaled(odds: [f32; OUTCOMES]) -> [f32; OUTCOMES] {
    let sum: f32 = odds.iter().sum();
    odds.map(|odds| odds / sum)
}

/// What is taken to have become of a lever, and how likely that is, 0 to 1; as asked, how likely if the string was plucked: who
/// is to be blamed is given the doubt whether it was.
pub(crate) fn decided(likely: [f32; OUTCOMES]) -> (LeverOutcome, f32) {
    let [plucked @ .., not_plucked] = likely;
    if not_plucked >= NOT_PLUCKED {
        return (LeverOutcome::NotPlucked, not_plucked);
    }
    let sum: f32 = plucked.iter().sum();
    let best = LeverOutcome::OF_PLUCKED.into_iter().zip(plucked).max_by(|a, b| a.1.total_cmp(&b.1));
    best.map_or((LeverOutcome::NotPlucked, not_plucked), |(outcome, likely)| match outcome {
        LeverOutcome::AsAsked => (outcome, likely / sum),
        _ => (outcome, likely),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: half of what was plucked sounds half-way, so not being plucked counts 1 − 0.8 · ½ = 0.6 of its share: 0.36 of
    /// 0.76. Where nothing sounds half-way it stays as it is.
    #[test]
    fn what_sounds_half_way_was_hardly_left_unplucked() {
        let likely = with_few_ringing_half_way([0.2, 0.0, 0.2, 0.0, 0.6]);
        let wanted = [0.2, 0.0, 0.2, 0.0, 0.36].map(|share| share / 0.76);
        assert!(likely.iter().zip(wanted).all(|(likely, wanted)| (likely - wanted).abs() < 1e-6), "{likely:?}");
        let clear = [0.2, 0.1, 0.0, 0.1, 0.6];
        let same = with_few_ringing_half_way(clear);
        assert!(same.iter().zip(clear).all(|(same, clear)| (same - clear).abs() < 1e-6), "{same:?}");
        assert_eq!(with_few_ringing_half_way([0.0, 0.0, 0.0, 0.0, 1.0])[4], 1.0);
    }

    /// By hand: of shares of 4, 2, 2, 1 and 1 of ten the first is 4 of the 9 that were plucked. Not plucked by 9 of 18 is not
    /// enough, by 37 of 46 it is. Of 1, 5, 2 and 1 with 9 of the other kind, the second is 5 of 18.
    #[test]
    fn what_was_found_is_taken_for_plucked_unless_it_surely_was_not() {
        let of = |shares: [f32; OUTCOMES]| decided(of_log_odds(shares.map(f32::ln)));
        for not_plucked in [1.0, 9.0] {
            let (outcome, likely) = of([4.0, 2.0, 2.0, 1.0, not_plucked]);
            assert_eq!(outcome, LeverOutcome::AsAsked);
            assert!((likely - 4.0 / 9.0).abs() < 1e-5, "{likely}");
        }
        let (outcome, likely) = of([4.0, 2.0, 2.0, 1.0, 37.0]);
        assert!(outcome == LeverOutcome::NotPlucked && (likely - 37.0 / 46.0).abs() < 1e-5, "{likely}");
        assert_eq!(decided(of_log_odds([0.0, 0.0, 0.1, 9.0, 0.0])).0, LeverOutcome::Late);
        let (outcome, likely) = of([1.0, 5.0, 2.0, 1.0, 9.0]);
        assert!(outcome == LeverOutcome::Otherwise && (likely - 5.0 / 18.0).abs() < 1e-5, "{likely}");
    }
}
