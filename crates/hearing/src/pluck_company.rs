//! What the other plucks of a pass say of one: how loud it is among them, and how near to them.
//!
//! Where a string was not plucked, others that sound into its partials are taken for it: at their moment, and softer.

use leverlane_core::pitch::Hertz;
use leverlane_core::time::Seconds;
use leverlane_core::verdict::median;

use crate::loudness::Loudness;

/// How many signs there are.
pub(crate) const SIGNS: usize = 11;
/// The loudness of so many strings, those nearest in pitch, is typical of a string.
const NEAREST: usize = 5;
/// What is so many seconds away counts 0, ten times as far 1; nearer than the second or further than the third is the same.
const AWAY: (f64, f64, f64) = (0.03, 0.002, 2.0);

/// A pluck that was found in a pass.
#[derive(Clone, Copy, Debug)]
pub(crate) struct CompanyPluck {
    pub(crate) at: Seconds,
    /// The string's pitch with its lever down.
    pub(crate) open: Hertz,
    /// Its loudness, where it has a lever.
    pub(crate) loudness: Option<Loudness>,
}

/// The signs of each pluck of a pass whose loudness is known.
pub(crate) fn signs(plucks: &[Option<CompanyPluck>]) -> Vec<Option<[f64; SIGNS]>> {
    let of = |(index, own): (usize, &Option<CompanyPluck>)| {
        let own = own.as_ref()?;
        let others = plucks.iter().enumerate().filter(|(other, _)| *other != index);
        let others: Vec<CompanyPluck> = others.filter_map(|(_, pluck)| *pluck).collect();
        Some(among(own, &own.loudness?, &others))
    };
    plucks.iter().enumerate().map(of).collect()
}

/// The signs of a pluck of this loudness among the other ones of its pass.
fn among(own: &CompanyPluck, loudness: &Loudness, others: &[CompanyPluck]) -> [f64; SIGNS] {
    let loud = |pluck: &CompanyPluck| Some(pluck.loudness?.of_string());
    let all: Vec<f64> = others.iter().filter_map(loud).chain([loudness.of_string()]).collect();
    let typical = median(&all).unwrap_or_default();
    let pitch = |pluck: &CompanyPluck| 12.0 * pluck.open.get().log2();
    let apart = |pluck: &CompanyPluck| (pitch(pluck) - pitch(own)).abs();
    let mut by_pitch: Vec<(f64, f64)> = others.iter().filter_map(|pluck| Some((apart(pluck), loud(pluck)?))).collect();
    by_pitch.sort_by(|a, b| a.0.total_cmp(&b.0));
    let nearest: Vec<f64> = by_pitch.iter().take(NEAREST).map(|pluck| pluck.1).collect();
    let of_neighbours = median(&nearest).unwrap_or(typical);
    let other_strings = others.iter().filter(|pluck| pluck.open != own.open);
    let times: Vec<f64> = other_strings.map(|pluck| (pluck.at - own.at).get()).collect();
    let before = times.iter().filter(|away| **away <= 0.0).map(|away| -away).fold(AWAY.2, f64::min);
    let after = times.iter().filter(|away| **away > 0.0).copied().fold(AWAY.2, f64::min);
    let away = |seconds: f64| (seconds.max(AWAY.1) / AWAY.0).log10();
    [
        loudness.asked - typical,
        loudness.other - typical,
        loudness.asked_before - typical,
        loudness.other_before - typical,
        loudness.loudest - typical,
        loudness.half - typical,
        loudness.of_string() - of_neighbours,
        loudness.of_string(),
        away(before),
        away(after),
        away(before.min(after)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn loudness(asked: f64) -> Loudness {
        Loudness { asked, other: -4.0, half: -3.5, asked_before: -5.0, other_before: -6.0, loudest: asked + 0.5 }
    }

    fn pluck(at: f64, open: f64, loud: Option<f64>) -> CompanyPluck {
        CompanyPluck { at: Seconds::new(at), open: Hertz::new(open).unwrap(), loudness: loud.map(loudness) }
    }

    /// By hand: of −3, −2, −2, −1 and −1 the middle one is −2; of the others, all of which are among the nearest, −1.5 is the
    /// middle. The string's own next pluck is no company in time: the nearest other ones are 3 s before it, which counts as 2 s,
    /// and 0.3 s after it.
    #[test]
    fn a_soft_pluck_is_told_beside_louder_ones() {
        let plucks = [
            Some(pluck(0.0, 110.0, Some(-1.0))),
            None,
            Some(pluck(3.0, 440.0, Some(-3.0))),
            Some(pluck(3.1, 440.0, Some(-2.0))),
            Some(pluck(3.3, 392.0, Some(-2.0))),
            Some(pluck(3.6, 494.0, Some(-1.0))),
            Some(pluck(4.0, 523.0, None)),
        ];
        let signs = signs(&plucks);
        assert!(signs[1].is_none() && signs[6].is_none(), "nothing is told where nothing was read");
        let wanted = [-1.0, -2.0, -3.0, -4.0, -0.5, -1.5, -1.5, -3.0, (2.0f64 / 0.03).log10(), 1.0, 1.0];
        for (place, (sign, wanted)) in signs[2].unwrap().iter().zip(wanted).enumerate() {
            assert!((sign - wanted).abs() < 1e-9, "{place}: {signs:?}");
        }
    }

    /// By hand: with nobody else there is nothing to compare with.
    #[test]
    fn a_pluck_alone_is_as_loud_as_any() {
        let signs = signs(&[Some(pluck(3.0, 440.0, Some(-3.0)))])[0].unwrap();
        assert_eq!((signs[0], signs[6]), (0.0, 0.0));
    }
}
