//! The beats of a piece and the ways of dividing them.

use std::sync::LazyLock;

use leverlane_core::meter::Counting;
use leverlane_core::score::Bar;
use leverlane_core::time::Ticks;

use super::grid::Grid;

/// One beat of the piece, from the start of the file. A beat longer than a quarter and not dotted is taken quarter by
/// quarter, so that 2/2 divides as 4/4 does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Beat {
    /// Where it begins; for a beat that a pickup cuts, where it would have begun.
    pub start: Ticks,
    /// How long it is, uncut.
    pub length: Ticks,
    /// Where it stops, at its end or at the end of a bar that is cut short.
    pub until: Ticks,
}

/// A way of dividing a beat, and how unlikely it is.
///
/// The costs are natural logarithms of odds, set by us and tried on the pieces of the test: what the eye expects first
/// costs least.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Division {
    /// Into how many equal parts.
    pub parts: i64,
    /// The cost of meeting such a beat at all.
    pub cost: f64,
    /// The further cost of each chord on a place that no simpler division has: sixths come in runs, not alone.
    pub place_cost: f64,
}

const fn division(parts: i64, cost: f64, place_cost: f64) -> Division {
    Division { parts, cost, place_cost }
}

const PLAIN: [Division; 9] = [
    division(1, 0.0, 0.0),
    division(2, 0.5, 0.2),
    division(4, 1.0, 0.5),
    division(3, 1.8, 0.4),
    division(6, 3.0, 1.0),
    division(8, 3.0, 1.2),
    division(12, 6.0, 1.5),
    division(16, 6.0, 2.0),
    division(24, 8.0, 2.5),
];

const DOTTED: [Division; 6] = [
    division(1, 0.0, 0.0),
    division(3, 0.5, 0.2),
    division(6, 1.0, 0.5),
    division(2, 2.5, 0.5),
    division(4, 3.5, 1.0),
    division(12, 3.5, 1.2),
];

impl Beat {
    /// The ways of dividing this beat, simplest first.
    pub(super) fn divisions(&self) -> &'static [Division] {
        if self.is_dotted() { &DOTTED } else { &PLAIN }
    }

    fn is_dotted(&self) -> bool {
        self.length.quarters_ratio().0 % 3 == 0
    }

    /// The places of a division inside the beat, its end not included, each with its place cost.
    pub(super) fn places(&self, division: &Division) -> impl Iterator<Item = (Ticks, f64)> + use<> {
        let known = self.tables().divisions.iter().find(|table| table.parts == division.parts);
        self.laid_out(known.map_or(&[][..], |table| &table.places))
    }

    /// All places inside the beat, each with the whole cost of its simplest division.
    pub(super) fn all_places(&self) -> impl Iterator<Item = (Ticks, f64)> + use<> {
        self.laid_out(&self.tables().all)
    }

    /// Places of a table inside this beat.
    fn laid_out(&self, places: &'static [(i64, f64)]) -> impl Iterator<Item = (Ticks, f64)> + use<> {
        let (start, length, until) = (self.start, self.length, self.until);
        let place = move |&(part, cost): &(i64, f64)| (start + Ticks::new(length.get() * part / FINEST), cost);
        places.iter().map(place).filter(move |&(at, _)| at < until)
    }

    fn tables(&self) -> &'static Tables {
        static OF_PLAIN: LazyLock<Tables> = LazyLock::new(|| Tables::of(&PLAIN));
        static OF_DOTTED: LazyLock<Tables> = LazyLock::new(|| Tables::of(&DOTTED));
        if self.is_dotted() { &OF_DOTTED } else { &OF_PLAIN }
    }

    /// The way of dividing this beat into so many parts; undivided where there is none.
    pub(super) fn division_into(&self, parts: i64) -> &'static Division {
        let divisions = self.divisions();
        divisions.iter().find(|division| division.parts == parts).unwrap_or(&divisions[0])
    }
}

/// Parts of a beat in which every place of every division is a whole number.
const FINEST: i64 = 48;

/// The places of a kind of beat, in 48ths of it.
struct Tables {
    /// Of each division, with the place cost of the simplest division that has the place.
    divisions: Vec<DivisionTable>,
    /// Of all divisions, each once, with the whole cost of the simplest division that has it.
    all: Vec<(i64, f64)>,
}

struct DivisionTable {
    parts: i64,
    places: Vec<(i64, f64)>,
}

impl Tables {
    fn of(divisions: &[Division]) -> Tables {
        let simplest = |place: i64| divisions.iter().find(|division| place * division.parts % FINEST == 0);
        let table = |division: &Division| {
            let places = (0..division.parts).map(|part| part * FINEST / division.parts);
            let places = places.map(|place| (place, simplest(place).map_or(0.0, |division| division.place_cost)));
            DivisionTable { parts: division.parts, places: places.collect() }
        };
        let whole_cost = |place| simplest(place).map(|division| (place, division.cost + division.place_cost));
        Tables { divisions: divisions.iter().map(table).collect(), all: (0..FINEST).filter_map(whole_cost).collect() }
    }
}

/// The beats of all bars, in order, without gaps.
pub(super) fn beats_of(grid: &Grid) -> Vec<Beat> {
    let mut beats = Vec::new();
    for (start, bar) in grid.bars() {
        lay_beats(start, bar, &mut beats);
    }
    beats
}

fn lay_beats(start: Ticks, bar: &Bar, beats: &mut Vec<Beat>) {
    let end = start + bar.length;
    let mut at = start - bar.anacrusis;
    let lengths = bar.meter.beats(Counting::Beats);
    for length in lengths.iter().copied().cycle() {
        if at >= end {
            break;
        }
        let whole_quarters = length.get() / Ticks::PER_QUARTER;
        let (count, part) =
            if length.get() % Ticks::PER_QUARTER == 0 { (whole_quarters, Ticks::QUARTER) } else { (1, length) };
        for _ in 0..count {
            if at < end && at + part > start {
                beats.push(Beat { start: at, length: part, until: end.min(at + part) });
            }
            at += part;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quarters(numerator: i64, denominator: i64) -> Ticks {
        Ticks::from_quarters(numerator, denominator).unwrap()
    }

    /// Arithmetic: a quarter in three, a dotted quarter in three eighths.
    #[test]
    fn places_of_a_beat() {
        let plain = Beat { start: quarters(2, 1), length: Ticks::QUARTER, until: quarters(3, 1) };
        let thirds: Vec<_> = plain.places(&PLAIN[3]).map(|(at, _)| at).collect();
        assert_eq!(thirds, [quarters(2, 1), quarters(7, 3), quarters(8, 3)]);
        let dotted = Beat { start: Ticks::ZERO, length: quarters(3, 2), until: quarters(1, 1) };
        let eighths: Vec<_> = dotted.places(&DOTTED[1]).map(|(at, _)| at).collect();
        assert_eq!(eighths, [Ticks::ZERO, quarters(1, 2)], "the third lies past the cut");
        assert_eq!(dotted.divisions()[1].parts, 3);
        assert_eq!(plain.divisions()[1].parts, 2);
    }
}
