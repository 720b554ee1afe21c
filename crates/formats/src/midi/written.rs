//! Files that were written, not played: most of their ticks lie on simple divisions of the quarter, or all on the same few places
//! in it.

use std::collections::BTreeSet;

use leverlane_core::time::Ticks;

use super::grid::score_ticks;

/// The share of notes on simple divisions from which on a file counts as written.
const MOST: f64 = 0.9;
/// Parts of a quarter that count as simple: triplets and binary ones to the 128th note, and tuplets of nine, five,
/// seven and eleven.
const SIMPLE: [u32; 7] = [24, 32, 9, 5, 7, 10, 11];
/// In files of so few ticks to the quarter the finest of those are mere resolution and prove nothing.
const COARSE_FILE: u16 = 96;
const SIMPLE_IN_COARSE_FILE: [u32; 4] = [12, 8, 5, 7];
/// Parts of which a place may be the rounded decimal: the usual ones, no more, or nearly every place would be one.
const ROUNDED: [u32; 4] = [24, 32, 5, 7];
/// Some programs keep tuplets as rounded decimals: a place this near to a simple one, in quarters, means it. Played at
/// 120 a minute this is 1.5 ms, far nearer than anyone plays.
const BESIDE: f64 = 0.003;

/// Nobody plays thousands of notes on so few different places of the quarter, be they seventeenths; each comes [`OFTEN`] at the least on
/// the average.
const FEW_PLACES: usize = 48;
const OFTEN: usize = 16;

/// Whether these ticks were written: most stand on simple divisions of the quarter or just beside, or all on few places of it.
pub(super) fn are_written(ticks: impl Iterator<Item = u64> + Clone, division: u16) -> bool {
    are_simple(ticks.clone(), division) || are_on_few_places(ticks, division)
}

fn are_simple(ticks: impl Iterator<Item = u64>, division: u16) -> bool {
    // Every tick of a coarse file lies beside some simple place, so there only the places themselves count.
    let (parts, rounded): (&[u32], &[u32]) =
        if division < COARSE_FILE { (&SIMPLE_IN_COARSE_FILE, &[]) } else { (&SIMPLE, &ROUNDED) };
    let (mut all, mut simple) = (0usize, 0usize);
    for tick in ticks {
        all += 1;
        simple += usize::from(simple_place(tick, division, parts, rounded).is_some());
    }
    simple as f64 >= MOST * all as f64
}

fn are_on_few_places(ticks: impl Iterator<Item = u64>, division: u16) -> bool {
    // Played freely, a coarse file's notes have no more places than that to fall on.
    let most = FEW_PLACES.min(usize::from(division) / 4);
    let (mut all, mut places) = (0usize, BTreeSet::new());
    for tick in ticks {
        all += 1;
        places.insert(tick % u64::from(division));
        if places.len() > most {
            return false;
        }
    }
    all >= OFTEN * places.len()
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
fn simple_place(tick: u64, division: u16, parts: &[u32], rounded: &[u32]) -> Option<Ticks> {
    let quarter = tick / u64::from(division);
    let (per_quarter, into) = (u32::from(division), (tick % u64::from(division)) as u32);
    if parts.iter().any(|part| into * part % per_quarter == 0) {
        return Some(score_ticks(tick, division).0);
    }
    let (numerator, part) = rounded.iter().find_map(|&part| {
        let numerator = (into * part * 2 + per_quarter) / (per_quarter * 2);
        let off = f64::from(numerator) / f64::from(part) - f64::from(into) / f64::from(per_quarter);
        (off.abs() <= BESIDE).then_some((numerator, part))
    })?;
    let within = Ticks::from_quarters(i64::from(numerator), i64::from(part))?;
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

    /// A voice in seventeenths of the quarter against quarters: the 17 rounded places come again and again. The same few places once
    /// each are a short piece, freely played.
    #[test]
    fn few_places_often_are_written() {
        let seventeenths = |quarters: u64| (0..17 * quarters).map(|index| (index * 10_080 + 8) / 17);
        assert!(are_written(seventeenths(40), 10_080));
        assert!(!are_written(seventeenths(1), 10_080));
        // The 24 places of a coarse file are all taken in the end, whatever is played.
        assert!(!are_written((0..2_000).map(|index| index * 7), 24));
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
