//! Lengths as note values: quarter, dotted eighth, eighth of a triplet, or several values joined by ties.

use leverlane_core::meter::{Counting, Meter};
use leverlane_core::time::Ticks;

/// One note value as it is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct NoteValue {
    /// The value, by its place in [`TYPES`].
    kind: usize,
    /// Dots behind it, 0 to 2.
    pub(super) dots: u8,
    /// The tuplet it belongs to.
    pub(super) tuplet: Option<Tuplet>,
}

/// So many notes in the time of so many.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Tuplet {
    pub(super) actual: u8,
    pub(super) normal: u8,
}

/// The names of note values in MusicXML 4.0 (`note-type-value`), each half as long as the one before; the first is four
/// whole notes long. Shorter ones than the 128th are finer than a tick.
const TYPES: [&str; 10] = ["long", "breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th"];
/// A long in quarters.
const LONG: i64 = 16;
/// The place of the eighth: from here on notes have flags.
const EIGHTH: usize = 5;
/// Tuplets that are tried, in this order (common practice: 3 in the time of 2, 5 of 4, 7 of 4, 9 of 8, 11 of 8).
const TUPLETS: [Tuplet; 5] = [
    Tuplet { actual: 3, normal: 2 },
    Tuplet { actual: 5, normal: 4 },
    Tuplet { actual: 7, normal: 4 },
    Tuplet { actual: 9, normal: 8 },
    Tuplet { actual: 11, normal: 8 },
];

impl NoteValue {
    /// The value's name in MusicXML.
    pub(super) fn name(self) -> &'static str {
        TYPES[self.kind]
    }

    /// How many flags or beams it has.
    pub(super) fn beams(self) -> usize {
        (self.kind + 1).saturating_sub(EIGHTH)
    }

    /// The value that is just so long, if there is one.
    pub(super) fn of(length: Ticks) -> Option<NoteValue> {
        let plain = |length: Ticks, most_dots: u8, tuplet| {
            (0..TYPES.len()).find_map(|kind| {
                // Without dots 2/2 of the value, with one 3/2, with two 7/4.
                let base = LONG * Ticks::PER_QUARTER;
                (0..=most_dots).find_map(|dots| {
                    let dotted = base * ((2 << dots) - 1);
                    let divisor = 1i64 << (kind + usize::from(dots));
                    (dotted % divisor == 0 && dotted / divisor == length.get()).then_some(NoteValue {
                        kind,
                        dots,
                        tuplet,
                    })
                })
            })
        };
        let in_tuplet = |tuplet: &Tuplet| {
            let stretched = length * i64::from(tuplet.actual);
            let normal = i64::from(tuplet.normal);
            (stretched.get() % normal == 0)
                .then(|| plain(Ticks::new(stretched.get() / normal), 1, Some(*tuplet)))
                .flatten()
        };
        plain(length, 2, None).or_else(|| TUPLETS.iter().find_map(in_tuplet))
    }

    /// The longest value without dots that is no longer than this.
    fn longest_within(length: Ticks) -> Option<(NoteValue, Ticks)> {
        (0..TYPES.len()).find_map(|kind| {
            let value = Ticks::new((LONG * Ticks::PER_QUARTER) >> kind);
            (value <= length).then_some((NoteValue { kind, dots: 0, tuplet: None }, value))
        })
    }
}

/// A length as values to be joined by ties: one where one says it, else the longest first. The last piece has no value
/// where what is left is no note value at all.
pub(super) fn joined_values(length: Ticks) -> Vec<(Ticks, Option<NoteValue>)> {
    let mut pieces = Vec::new();
    let mut rest = length;
    while rest > Ticks::ZERO {
        if let Some(value) = NoteValue::of(rest) {
            pieces.push((rest, Some(value)));
            break;
        }
        let Some((value, taken)) = NoteValue::longest_within(rest) else {
            pieces.push((rest, None));
            break;
        };
        pieces.push((taken, Some(value)));
        rest = rest - taken;
    }
    pieces
}

/// The rests that fill a gap, never across a beat unless they are whole beats from a beat on. Places count from the start
/// of a full bar.
pub(super) fn rests(from: Ticks, to: Ticks, meter: &Meter) -> Vec<(Ticks, Option<NoteValue>)> {
    let mut starts = vec![Ticks::ZERO];
    let beats = meter.beats(Counting::Beats);
    let last = beats[beats.len() - 1];
    for length in beats.iter().copied().chain(std::iter::repeat(last)) {
        let next = starts[starts.len() - 1] + length;
        starts.push(next);
        if next >= to {
            break;
        }
    }
    let mut pieces = Vec::new();
    let mut at = from;
    while at < to {
        let beat = starts.iter().rposition(|&start| start <= at).unwrap_or(0);
        let ends = |count: usize| starts.get(beat + count).copied();
        // Two or four simple beats make one rest where they stand together in the bar.
        let together = [4, 2].into_iter().find_map(|count| {
            let fits = starts[beat] == at && beat.is_multiple_of(count) && !meter.is_compound();
            ends(count).filter(|&end| fits && end <= to && NoteValue::of(end - at).is_some_and(|value| value.dots == 0))
        });
        let end = together.or_else(|| ends(1)).map_or(to, |end| end.min(to));
        pieces.extend(joined_values(end - at));
        at = end;
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ticks(numerator: i64, denominator: i64) -> Ticks {
        Ticks::from_quarters(numerator, denominator).unwrap()
    }

    fn said(pieces: &[(Ticks, Option<NoteValue>)]) -> String {
        let one = |(_, value): &(Ticks, Option<NoteValue>)| match value {
            None => "?".to_owned(),
            Some(value) => {
                let tuplet = value.tuplet.map_or(String::new(), |t| format!("/{}:{}", t.actual, t.normal));
                format!("{}{}{tuplet}", value.name(), ".".repeat(usize::from(value.dots)))
            }
        };
        pieces.iter().map(one).collect::<Vec<_>>().join(" ")
    }

    /// Arithmetic.
    #[test]
    fn lengths_as_values() {
        for (length, expected) in [
            (ticks(4, 1), "whole"),
            (ticks(3, 1), "half."),
            (ticks(7, 2), "half.."),
            (ticks(3, 4), "eighth."),
            (ticks(1, 32), "128th"),
            (ticks(1, 3), "eighth/3:2"),
            (ticks(2, 3), "quarter/3:2"),
            (ticks(1, 6), "16th/3:2"),
            (ticks(1, 5), "16th/5:4"),
            (ticks(1, 7), "16th/7:4"),
            (ticks(5, 4), "quarter 16th"),
            (ticks(4, 3), "half/3:2"),
            (ticks(5, 2), "half eighth"),
            (Ticks::new(1), "?"),
        ] {
            assert_eq!(said(&joined_values(length)), expected, "{length}");
        }
    }

    /// Common practice: rests show the beats.
    #[test]
    fn rests_show_the_beats() {
        let common = Meter::common();
        assert_eq!(said(&rests(ticks(1, 1), ticks(4, 1), &common)), "quarter half");
        assert_eq!(said(&rests(ticks(0, 1), ticks(3, 1), &common)), "half quarter");
        assert_eq!(said(&rests(ticks(1, 3), ticks(2, 1), &common)), "quarter/3:2 quarter");
        assert_eq!(said(&rests(ticks(3, 2), ticks(2, 1), &common)), "eighth");
        let jig = Meter::new(&[6], 8).unwrap();
        assert_eq!(said(&rests(ticks(1, 2), ticks(3, 1), &jig)), "quarter quarter.");
    }
}
