//! How likely each thing is that may have become of a lever, by the signs of it: a small network, learnt from the same
//! instruments as [`crate::pluck_odds`] (`tests/benches/hearing/learn.rs`).

mod weights;

use crate::lever_signs::SIGNS;
use crate::network::{layer, sums};
use weights::{FIRST, FIRST_BIAS, LAST, LAST_BIAS, SECOND, SECOND_BIAS};

/// Units of the two layers between.
const UNITS: (usize, usize) = (192, 96);
/// How many things may have become of it.
pub(crate) const OUTCOMES: usize = 5;

/// What may have become of a lever when its string was to be plucked.
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
    /// All of a string that was plucked, in the order in which they were learnt; the last one learnt is that it was not.
    const OF_PLUCKED: [LeverOutcome; OUTCOMES - 1] =
        [LeverOutcome::AsAsked, LeverOutcome::Otherwise, LeverOutcome::HalfWay, LeverOutcome::Late];
}

/// How likely it must be that the string was not plucked, for it was found to be, to be taken for that: most are (found by
/// trial).
const NOT_PLUCKED: f32 = 0.8;

/// The likeliest outcome, and how likely it is, 0 to 1; as asked, how likely if the string was plucked: who is to be blamed is
/// given the doubt whether it was.
pub(crate) fn likeliest(signs: &[f32; SIGNS]) -> (LeverOutcome, f32) {
    let first = layer(signs, &FIRST, &FIRST_BIAS);
    let second = layer(&first, &SECOND, &SECOND_BIAS);
    of_odds(sums(&second, &LAST, &LAST_BIAS))
}

/// The same by the logarithms of the odds, in the order of the outcomes.
fn of_odds(odds: [f32; OUTCOMES]) -> (LeverOutcome, f32) {
    let most = odds.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    let [plucked @ .., not_plucked] = odds.map(|odds| (odds - most).exp());
    let sum: f32 = plucked.iter().sum();
    let share = not_plucked / (not_plucked + sum);
    if share >= NOT_PLUCKED {
        return (LeverOutcome::NotPlucked, share);
    }
    let best = LeverOutcome::OF_PLUCKED.into_iter().zip(plucked).max_by(|a, b| a.1.total_cmp(&b.1));
    best.map_or((LeverOutcome::NotPlucked, share), |(outcome, likely)| match outcome {
        LeverOutcome::AsAsked => (outcome, likely / sum),
        _ => (outcome, likely / (sum + not_plucked)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: of shares of 4, 2, 2, 1 and 1 of ten the first is 4 of the 9 that were plucked. Not plucked by 9 of 18 is not
    /// enough, by 37 of 46 it is. Of 1, 5, 2 and 1 with 9 of the other kind, the second is 5 of 18.
    #[test]
    fn what_was_found_is_taken_for_plucked_unless_it_surely_was_not() {
        let of = |not_plucked: f32| of_odds([4.0, 2.0, 2.0, 1.0, not_plucked].map(f32::ln));
        for not_plucked in [1.0, 9.0] {
            let (outcome, likely) = of(not_plucked);
            assert_eq!(outcome, LeverOutcome::AsAsked);
            assert!((likely - 4.0 / 9.0).abs() < 1e-5, "{likely}");
        }
        let (outcome, likely) = of(37.0);
        assert!(outcome == LeverOutcome::NotPlucked && (likely - 37.0 / 46.0).abs() < 1e-5, "{likely}");
        assert_eq!(of_odds([0.0, 0.0, 0.1, 9.0, 0.0]).0, LeverOutcome::Late);
        let (outcome, likely) = of_odds([1.0, 5.0, 2.0, 1.0, 9.0].map(f32::ln));
        assert!(outcome == LeverOutcome::Otherwise && (likely - 5.0 / 18.0).abs() < 1e-5, "{likely}");
    }
}
