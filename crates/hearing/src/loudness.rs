//! How loud a string's own partials are.

use crate::lever_reading::{LeverWorths, StateWorth};

/// Nothing is softer, full scale being 1.
const SOFTEST: f64 = 1e-6;
/// Where less of the partials is a string's own than this share of one, what is there counts less.
const LEAST_OWN: f64 = 0.1;

/// The loudness of the partials that no neighbour can take for its own: common logarithms of amplitudes, full scale being 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Loudness {
    /// After the pluck, as the string is asked, otherwise and half-way.
    pub(crate) asked: f64,
    pub(crate) other: f64,
    pub(crate) half: f64,
    /// Before it.
    pub(crate) asked_before: f64,
    pub(crate) other_before: f64,
    /// That of the loudest partial in any stretch.
    pub(crate) loudest: f64,
}

impl Loudness {
    /// By what was read before the pluck and after it.
    pub(crate) fn of(before: &LeverWorths, after: &LeverWorths, loudest: f64) -> Loudness {
        Loudness {
            asked: own_loudness(&after.asked),
            other: own_loudness(&after.other),
            half: own_loudness(&after.half),
            asked_before: own_loudness(&before.asked),
            other_before: own_loudness(&before.other),
            loudest: loudest.log10(),
        }
    }

    /// That of the string in whichever state it sounds loudest.
    pub(crate) fn of_string(&self) -> f64 {
        self.asked.max(self.other).max(self.half)
    }
}

/// The root mean square of the partials, each counted as far as it is the string's own.
fn own_loudness(state: &StateWorth) -> f64 {
    let sum: f64 = state.partials.iter().map(|partial| (partial.own * partial.amplitude).powi(2)).sum();
    let own: f64 = state.partials.iter().map(|partial| partial.own.powi(2)).sum();
    (sum / (own + LEAST_OWN)).sqrt().max(SOFTEST).log10()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::partial_fit::FittedPartial;

    fn sounds(partials: &[(f64, f64)]) -> StateWorth {
        let mut state = StateWorth::default();
        for (into, &(amplitude, own)) in state.partials.iter_mut().zip(partials) {
            *into = FittedPartial { amplitude, own };
        }
        state
    }

    /// By hand: two partials of its own of 0.1 and 0.2, and one of 1.0 that is its neighbours': √(0.05 ÷ 2.1) = 0.154, −0.812
    /// as a logarithm. Silence is told as the softest there is.
    #[test]
    fn what_neighbours_may_have_is_not_counted() {
        let asked = sounds(&[(0.1, 1.0), (1.0, 0.0), (0.2, 1.0)]);
        let after = LeverWorths { asked, ..LeverWorths::default() };
        let loudness = Loudness::of(&LeverWorths::default(), &after, 0.1);
        assert!((loudness.asked + 0.812).abs() < 1e-3, "{loudness:?}");
        assert_eq!((loudness.other, loudness.asked_before, loudness.loudest), (-6.0, -6.0, -1.0));
        assert_eq!(loudness.of_string(), loudness.asked);
    }
}
