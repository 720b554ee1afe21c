//! What binds the notes of a voice: tuplets and beams.

use leverlane_core::meter::{Counting, Meter};
use leverlane_core::time::Ticks;

use super::values::{NoteValue, Tuplet};

/// One thing in a voice, as far as binding goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Item {
    /// From the start of a full bar.
    pub(super) onset: Ticks,
    pub(super) length: Ticks,
    pub(super) value: Option<NoteValue>,
    /// A note, not a rest.
    pub(super) sounds: Sounds,
}

/// Whether an item can be beamed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sounds {
    Note,
    Rest,
}

/// Where in a tuplet's bracket an item stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Bracket {
    pub(super) starts: Option<Tuplet>,
    pub(super) stops: Option<Tuplet>,
}

/// The tuplet brackets of a voice: each ends where its items add up to an undivided length, or with its last item.
pub(super) fn brackets(items: &[Item]) -> Vec<Bracket> {
    let mut found = vec![Bracket::default(); items.len()];
    let mut open: Option<(Tuplet, Ticks)> = None;
    for (index, item) in items.iter().enumerate() {
        let Some(tuplet) = item.value.and_then(|value| value.tuplet) else {
            continue;
        };
        let sum = match open {
            Some((_, sum)) => sum + item.length,
            None => {
                found[index].starts = Some(tuplet);
                item.length
            }
        };
        let next = items.get(index + 1).filter(|next| next.onset == item.onset + item.length);
        let goes_on = next.and_then(|next| next.value).and_then(|value| value.tuplet) == Some(tuplet);
        let (_, parts) = sum.quarters_ratio();
        if (parts as u64).is_power_of_two() || !goes_on {
            found[index].stops = Some(tuplet);
            open = None;
        } else {
            open = Some((tuplet, sum));
        }
    }
    found
}

/// What one beam level does at a note, by its name in MusicXML 4.0 (`beam-value`).
pub(super) type Beam = &'static str;

/// The beams of a voice's items, outermost first; none for what stands alone.
///
/// Common practice: beams follow the counted beats; plain eighths are beamed over two beats where these make half of an
/// even bar; rests break beams.
pub(super) fn beams(items: &[Item], meter: &Meter) -> Vec<Vec<Beam>> {
    let mut found = vec![Vec::new(); items.len()];
    let mut from = 0;
    while from < items.len() {
        let mut to = from + 1;
        if beamable(&items[from]) {
            while to < items.len() && beamable(&items[to]) && together(&items[from..=to], meter) {
                to += 1;
            }
            if to - from > 1 {
                levels(&items[from..to], &mut found[from..to]);
            }
        }
        from = to;
    }
    found
}

fn beamable(item: &Item) -> bool {
    item.sounds == Sounds::Note && item.value.is_some_and(|value| value.beams() > 0)
}

fn together(items: &[Item], meter: &Meter) -> bool {
    let (Some(first), Some(last)) = (items.first(), items.last()) else { return false };
    let joined = items.windows(2).all(|pair| pair[0].onset + pair[0].length == pair[1].onset);
    let (beat_of_first, beat_of_last) = (beat(first.onset, meter), beat(last.onset, meter));
    let plain = items.iter().all(|item| item.value.is_some_and(|value| value.beams() == 1 && value.tuplet.is_none()));
    let beats = meter.beats(Counting::Beats).len();
    let by_halves =
        plain && meter.groups().len() == 1 && !meter.is_compound() && meter.unit() == 4 && beats.is_multiple_of(2);
    joined && (beat_of_first == beat_of_last || by_halves && beat_of_first / 2 == beat_of_last / 2)
}

/// The counted beat that a place lies in, from 0. Three eighths to a bar make one beam.
fn beat(onset: Ticks, meter: &Meter) -> usize {
    let beats = meter.beats(Counting::Beats);
    let whole_bar = meter.unit() >= 8 && meter.groups() == [3];
    let mut end = Ticks::ZERO;
    for (index, &length) in beats.iter().enumerate() {
        end += length;
        if onset < end {
            return if whole_bar { 0 } else { index };
        }
    }
    beats.len()
}

fn levels(items: &[Item], found: &mut [Vec<Beam>]) {
    let count = |index: usize| items[index].value.map_or(0, NoteValue::beams);
    for (index, beams) in found.iter_mut().enumerate() {
        for level in 1..=count(index) {
            let before = index > 0 && count(index - 1) >= level;
            let after = index + 1 < items.len() && count(index + 1) >= level;
            beams.push(match (before, after) {
                (true, true) => "continue",
                (false, true) => "begin",
                (true, false) => "end",
                // A stub points to the note it shares its group with.
                (false, false) if index > 0 => "backward hook",
                (false, false) => "forward hook",
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn items(lengths: &[(i64, i64)]) -> Vec<Item> {
        let mut onset = Ticks::ZERO;
        let item = |&(numerator, denominator): &(i64, i64)| {
            let length = Ticks::from_quarters(numerator, denominator).unwrap();
            let item = Item { onset, length, value: NoteValue::of(length), sounds: Sounds::Note };
            onset += length;
            item
        };
        lengths.iter().map(item).collect()
    }

    fn beamed(lengths: &[(i64, i64)], meter: &Meter) -> Vec<String> {
        beams(&items(lengths), meter).iter().map(|beams| beams.join("+")).collect()
    }

    /// Common practice.
    #[test]
    fn beams_follow_the_beats() {
        let common = Meter::common();
        let eighths = beamed(&[(1, 2); 8], &common);
        assert_eq!(eighths, ["begin", "continue", "continue", "end", "begin", "continue", "continue", "end"]);
        let jig = Meter::new(&[6], 8).unwrap();
        assert_eq!(beamed(&[(1, 2); 6], &jig), ["begin", "continue", "end", "begin", "continue", "end"]);
        assert_eq!(beamed(&[(3, 4), (1, 4)], &common), ["begin", "end+backward hook"]);
        assert_eq!(beamed(&[(1, 4), (3, 4)], &common), ["begin+forward hook", "end"]);
        assert_eq!(beamed(&[(1, 2), (1, 1), (1, 2)], &common), ["", "", ""]);
        let sixteenths = beamed(&[(1, 4); 4], &common);
        assert_eq!(sixteenths, ["begin+begin", "continue+continue", "continue+continue", "end+end"]);
    }

    #[test]
    fn brackets_end_where_their_beat_does() {
        let said = |lengths: &[(i64, i64)]| {
            let found = brackets(&items(lengths));
            found
                .iter()
                .map(|b| match (b.starts.is_some(), b.stops.is_some()) {
                    (true, true) => 'x',
                    (true, false) => '[',
                    (false, true) => ']',
                    (false, false) => '-',
                })
                .collect::<String>()
        };
        assert_eq!(said(&[(1, 3), (1, 3), (1, 3), (1, 1)]), "[-]-");
        assert_eq!(said(&[(2, 3), (1, 3), (1, 3), (2, 3)]), "[][]");
        assert_eq!(said(&[(2, 3), (2, 3), (2, 3)]), "[-]");
        assert_eq!(said(&[(1, 5); 5]), "[---]");
        assert_eq!(said(&[(1, 3), (1, 2)]), "x-");
    }
}
