//! Which strings can sound each note, and which strings therefore have to be decided together.

use crate::harp::{Harp, LeverState, StringNumber};
use crate::pitch::MidiNote;
use crate::score::{Performance, Pluck};

/// Every way to sound every note of a harp.
pub(super) struct Ways(Vec<Vec<(StringNumber, LeverState)>>);

impl Ways {
    pub fn of(harp: &Harp) -> Ways {
        let all = (0..=127).filter_map(MidiNote::new);
        Ways(all.map(|note| harp.ways_to_sound(note).collect()).collect())
    }

    pub fn to_sound(&self, note: MidiNote) -> &[(StringNumber, LeverState)] {
        &self.0[usize::from(note.get())]
    }
}

/// Whether a pluck on this string is a respelled note: not on the string of its written letter.
pub(super) fn is_respelled(harp: &Harp, pluck: &Pluck, string: StringNumber) -> bool {
    harp.string(string).is_some_and(|string| string.open.staff_steps() != pluck.pitch.staff_steps())
}

/// Strings that share a note, directly or through others, with the plucks that fall to them. On a harp tuned to a
/// major scale they are single strings and pairs.
#[derive(Clone)]
pub(super) struct Component {
    pub strings: Vec<StringNumber>,
    /// The plucks, together where they fall together: graces apart from what they lead to.
    pub moments: Vec<Vec<usize>>,
}

impl Component {
    /// The pluck after the one at a place of a moment.
    pub fn next_pluck(&self, moment: usize, place: usize) -> Option<usize> {
        let here = self.moments[moment].get(place + 1);
        here.or_else(|| self.moments.get(moment + 1)?.first()).copied()
    }

    /// Whether other plucks of the component fall on the instant of a moment, so that one of them may have to be left out.
    pub fn is_crowded(&self, moment: usize, performance: &Performance) -> bool {
        let group = &self.moments[moment];
        let instant = |group: &Vec<usize>| performance.plucks()[group[0]].at;
        let beside = [moment.checked_sub(1), Some(moment + 1)].into_iter().flatten();
        group.len() > 1
            || beside.filter_map(|other| self.moments.get(other)).any(|other| instant(other) == instant(group))
    }
}

/// Parts the piece into components; plucks that no string can sound belong to none.
pub(super) fn components(harp: &Harp, ways: &Ways, performance: &Performance) -> Vec<Component> {
    let mut group: Vec<usize> = (0..harp.strings().len()).collect();
    for pair in ways.0.iter().filter(|strings| strings.len() > 1) {
        for &(string, _) in &pair[1..] {
            let (keep, join) = (group[pair[0].0.index()], group[string.index()]);
            group.iter_mut().filter(|other| **other == join).for_each(|other| *other = keep);
        }
    }
    let mut components: Vec<Component> =
        harp.strings().iter().map(|_| Component { strings: Vec::new(), moments: Vec::new() }).collect();
    for (number, _) in harp.numbered() {
        components[group[number.index()]].strings.push(number);
    }
    let plucks = performance.plucks();
    for (index, pluck) in plucks.iter().enumerate() {
        let Some(&(string, _)) = ways.to_sound(pluck.pitch.midi()).first() else { continue };
        let moments = &mut components[group[string.index()]].moments;
        let together = |other: &Pluck| (other.at, other.grace_order) == (pluck.at, pluck.grace_order);
        match moments.last_mut() {
            Some(moment) if moment.first().is_some_and(|&first| together(&plucks[first])) => moment.push(index),
            _ => moments.push(vec![index]),
        }
    }
    components.retain(|component| !component.moments.is_empty());
    components
}
