//! Files that were written, not played: most of their ticks lie on simple divisions of the quarter.

use leverlane_core::time::Ticks;

use super::grid::score_ticks;

/// The share of notes on simple divisions from which on a file counts as written.
const MOST: f64 = 0.9;
/// Parts of a quarter that count as simple: triplets and binary ones to the 128th note, and tuplets of nine, five,
/// seven and eleven.
const SIMPLE: [u64; 7] = [24, 32, 9, 5, 7, 10, 11];
/// In files of so few ticks to the quarter the finest of those are mere resolution and prove nothing.
const COARSE_FILE: u16 = 96;
const SIMPLE_IN_COARSE_FILE: [u64; 4] = [12, 8, 5, 7];
/// Parts of which a place may be the rounded decimal: the usual ones, no more, or nearly every place would be one.
const ROUNDED: [u64; 4] = [24, 32, 5, 7];
/// Some programs keep tuplets as rounded decimals: a place this near to a simple one, in quarters, means it. Played at
/// 120 a minute this is 1.5 ms, far nearer than anyone plays.
const BESIDE: f64 = 0.003;

/// Whether most of these ticks stand on simple divisions of the quarter, or just beside.
pub(super) fn are_simple(ticks: impl Iterator<Item = u64>, division: u16) -> bool {
    // Every tick of a coarse file lies beside some simple place, so there only the places themselves count.
    let (parts, rounded): (&[u64], &[u64]) =
        if division < COARSE_FILE { (&SIMPLE_IN_COARSE_FILE, &[]) } else { (&SIMPLE, &ROUNDED) };
    let (mut all, mut simple) = (0usize, 0usize);
    for tick in ticks {
        all += 1;
        simple += usize::from(simple_place(tick, division, parts, rounded).is_some());
    }
    simple as f64 >= MOST * all as f64
}

/// The place that a tick means, and whether it stands just there: the tick itself on a simple division, the simple
/// division beside it, and otherwise the nearest tick of the score.
pub(super) fn written_place(tick: u64, division: u16) -> (Ticks, bool) {
    let (place, is_exact) = score_ticks(tick, division);
    match simple_place(tick, division, &SIMPLE, &ROUNDED) {
        Some(simple) => (simple, simple == place),
        None => (place, is_exact),
    }
}

/// The one of the `parts` that a tick stands on, else the first of the `rounded` that it stands beside.
fn simple_place(tick: u64, division: u16, parts: &[u64], rounded: &[u64]) -> Option<Ticks> {
    let per_quarter = u64::from(division);
    let (quarter, into) = (tick / per_quarter, tick % per_quarter);
    if parts.iter().any(|part| into * part % per_quarter == 0) {
        return Some(score_ticks(tick, division).0);
    }
    let (numerator, part) = rounded.iter().find_map(|&part| {
        let numerator = (into * part * 2 + per_quarter) / (per_quarter * 2);
        let off = numerator as f64 / part as f64 - into as f64 / per_quarter as f64;
        (off.abs() <= BESIDE).then_some((numerator, part))
    })?;
    let within = Ticks::from_quarters(i64::try_from(numerator).ok()?, i64::try_from(part).ok()?)?;
    Some(Ticks::QUARTER * i64::try_from(quarter).ok()? + within)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quarters(numerator: i64, denominator: i64) -> Ticks {
        Ticks::from_quarters(numerator, denominator).unwrap()
    }

    /// Arithmetic: 3347 of 10080 is a third cut to 85/256; 1024 parts hold no exact third.
    #[test]
    fn a_rounded_triplet_is_a_triplet() {
        assert_eq!(written_place(3347, 10_080), (quarters(1, 3), false));
        assert_eq!(written_place(10_080 + 6694, 10_080), (quarters(5, 3), false));
        assert_eq!(written_place(341, 1024), (quarters(1, 3), false));
        assert_eq!(written_place(360, 480), (quarters(3, 4), true));
        assert!(written_place(377, 480).1, "played ticks are kept: a 480th is a whole number of ticks");
    }

    #[test]
    fn played_ticks_are_not_simple() {
        let played = [3, 251, 477, 731, 966, 1190, 1449, 1683];
        assert!(!are_simple(played.into_iter(), 480));
        assert!(are_simple([0, 240, 480, 640, 800, 960].into_iter(), 480));
        assert!(
            !are_simple([1, 11, 25, 37, 47, 62].into_iter(), 24),
            "every tick of 24 is a 24th, which proves nothing"
        );
    }
}
