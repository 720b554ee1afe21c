//! From a place in a bar to a place on the page: the one axis that notation, strip and clicks share.

use leverlane_core::score::{BarIndex, NoteKind, Score};
use leverlane_core::time::Ticks;

use crate::drawing::{BarBox, NoteBox};

/// Where the onsets of a system stand, from the left, in staff spaces.
///
/// On an onset that has a note it is the middle of the note's head, of the first in the order of pitch that no
/// neighbouring second has pushed aside; places between follow evenly. Both ends of every bar are in it too.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OnsetMap {
    /// By bar and place in the bar; x never falls within a bar.
    places: Vec<Place>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Place {
    bar: BarIndex,
    at: Ticks,
    x: f32,
}

impl OnsetMap {
    pub(crate) fn new(bars: &[BarBox], notes: &[NoteBox], score: &Score) -> OnsetMap {
        let mut places = Vec::new();
        for shown in bars {
            let Some(bar) = score.bar(shown.bar) else { continue };
            let mut onsets: Vec<(Ticks, f32)> = Vec::new();
            let mut heads: Vec<(Ticks, f32)> = notes
                .iter()
                .filter_map(|boxed| {
                    let note = score.parts().get(boxed.note.part)?.notes.get(boxed.note.note)?;
                    let timed = note.bar == shown.bar && note.kind == NoteKind::Timed;
                    timed.then(|| (note.onset, boxed.across.middle()))
                })
                .collect();
            heads.sort_by(|one, other| one.0.cmp(&other.0).then(one.1.total_cmp(&other.1)));
            for together in heads.chunk_by(|one, other| one.0 == other.0) {
                onsets.push((together[0].0, usual(together)));
            }
            if onsets.first().is_none_or(|&(at, _)| at > Ticks::ZERO) {
                let first_head = onsets.first().map_or(shown.across.to, |&(_, x)| x);
                onsets.insert(0, (Ticks::ZERO, shown.music.min(first_head)));
            }
            if onsets.last().is_some_and(|&(at, _)| at < bar.length) {
                onsets.push((bar.length, shown.across.to));
            }
            places.extend(onsets.into_iter().map(|(at, x)| Place { bar: shown.bar, at, x }));
        }
        OnsetMap { places }
    }

    /// Where a place in a bar stands; none for bars that the system doesn't have. Places past the bar's end stand at its
    /// end.
    pub fn x(&self, bar: BarIndex, at: Ticks) -> Option<f32> {
        let from = self.places.partition_point(|place| place.bar < bar);
        let to = self.places.partition_point(|place| place.bar <= bar);
        let places = &self.places[from..to];
        let after = places.partition_point(|place| place.at <= at);
        match (after.checked_sub(1).and_then(|before| places.get(before)), places.get(after)) {
            (Some(before), Some(next)) => {
                let part = (at - before.at).quarters() / (next.at - before.at).quarters();
                Some(before.x + (next.x - before.x) * part as f32)
            }
            (Some(only), None) | (None, Some(only)) => Some(only.x),
            (None, None) => None,
        }
    }

    /// Every place that is fixed by a note's head or a bar's edge.
    pub fn places(&self) -> impl Iterator<Item = (BarIndex, Ticks, f32)> + '_ {
        self.places.iter().map(|place| (place.bar, place.at, place.x))
    }
}

/// Where most heads of an onset stand; of two places with as many the nearer one.
fn usual(together: &[(Ticks, f32)]) -> f32 {
    // Closer than this is the same column: heads of one column differ by the engine's rounding only.
    const SAME_COLUMN: f32 = 0.2;
    let count = |x: f32| together.iter().filter(|(_, other)| (other - x).abs() < SAME_COLUMN).count();
    let most = together.iter().map(|&(_, x)| count(x)).max().unwrap_or(0);
    together.iter().map(|&(_, x)| x).find(|&x| count(x) == most).unwrap_or(together[0].1)
}
