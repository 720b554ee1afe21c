//! Where a bar that comes by more than once isn't played alike each time.
//!
//! A player learns one way through a bar. The comfort table keeps flips to it where that is cheap, but a first time and a second can
//! need different levers: what comes before them differs. Each later time is held against the first, flips by string and
//! direction, notes by the string they are played on.

use std::collections::{BTreeMap, HashMap};

use super::Gesture;
use crate::harp::{LeverState, StringNumber};
use crate::score::{BarIndex, Hand, NoteName, Performance};
use crate::time::Ticks;

/// Something that is done otherwise on some times through a written bar than on the first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RepeatDifference {
    /// The written bar.
    pub bar: BarIndex,
    /// The times through it on which it is so, from 1 and so at least 2, in order.
    pub times: Vec<u32>,
    /// What differs.
    pub what: Differing,
}

/// What differs between the first time through a bar and a later one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Differing {
    /// A lever is moved at another place or with another hand, or on one of the two times only.
    Flip {
        /// The string.
        string: StringNumber,
        /// Where its lever goes.
        to: LeverState,
        /// The first time; none where it isn't moved then.
        first: Option<FlipPlace>,
        /// The later time; none where it isn't moved then.
        then: Option<FlipPlace>,
    },
    /// A note is played on another string, or on one of the two times not at all.
    String {
        /// The note.
        note: NoteName,
        /// Its string on the first time; none where it can't be played then.
        first: Option<StringNumber>,
        /// Its string on the later time; none where it can't be played then.
        then: Option<StringNumber>,
    },
}

/// Where in its bar and with which hand a flip is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FlipPlace {
    /// The flip beat, from the beginning of the bar.
    pub at: Ticks,
    /// The hand.
    pub hand: Hand,
}

/// Every difference, by bar, those of flips before those of notes.
pub(super) fn differences(
    performance: &Performance,
    gestures: &[Gesture],
    strings: &[Option<(StringNumber, LeverState)>],
) -> Vec<RepeatDifference> {
    let played = Played { performance, gestures, strings };
    let mut first_times: HashMap<BarIndex, usize> = HashMap::new();
    let mut found: BTreeMap<(BarIndex, Differing), Vec<u32>> = BTreeMap::new();
    for (then, bar) in performance.bars().iter().enumerate() {
        let first = *first_times.entry(bar.bar).or_insert(then);
        if first == then {
            continue;
        }
        let mut differing = Vec::new();
        if !played.flips(first).eq(played.flips(then)) {
            differing.extend(flips_differing(played.flips(first).collect(), played.flips(then).collect()));
        }
        if !played.notes(first).eq(played.notes(then)) {
            differing.extend(notes_differing(&played.notes(first).collect(), played.notes(then)));
        }
        for differing in differing {
            found.entry((bar.bar, differing)).or_default().push(bar.earlier_times + 1);
        }
    }
    found.into_iter().map(|((bar, what), times)| RepeatDifference { bar, times, what }).collect()
}

/// A lever's movement within its bar.
type FlipInBar = (StringNumber, LeverState, FlipPlace);

struct Played<'a> {
    performance: &'a Performance,
    gestures: &'a [Gesture],
    strings: &'a [Option<(StringNumber, LeverState)>],
}

impl Played<'_> {
    /// What is flipped in a played bar, in order of time.
    fn flips(&self, played: usize) -> impl Iterator<Item = FlipInBar> {
        let starts = self.performance.bars()[played].starts;
        let from = self.gestures.partition_point(|gesture| gesture.played_bar < played);
        let inside = self.gestures[from..].iter().take_while(move |gesture| gesture.played_bar == played);
        inside.flat_map(move |gesture| {
            let place = FlipPlace { at: gesture.at - starts, hand: gesture.hand };
            gesture.flips.iter().map(move |flip| (flip.string, flip.to, place))
        })
    }

    /// The notes plucked in a played bar, with their strings.
    fn notes(&self, played: usize) -> impl Iterator<Item = (NoteName, Option<StringNumber>)> {
        let bar = &self.performance.bars()[played];
        let plucks = self.performance.plucks();
        let from = plucks.partition_point(|pluck| pluck.at < bar.starts).min(self.strings.len());
        let inside = plucks[from..].iter().zip(&self.strings[from..]).take_while(|(pluck, _)| pluck.at < bar.ends());
        inside.map(|(pluck, way)| {
            let name = NoteName { bar: bar.bar, at: pluck.at - bar.starts, pitch: pluck.pitch };
            (name, way.map(|(string, _)| string))
        })
    }
}

/// The flips that only one of two times has, those of one lever and direction paired in order.
fn flips_differing(mut first: Vec<FlipInBar>, mut then: Vec<FlipInBar>) -> Vec<Differing> {
    then.retain(|flip| match first.iter().position(|other| other == flip) {
        Some(alike) => {
            first.remove(alike);
            false
        }
        None => true,
    });
    let mut differing = Vec::new();
    for (string, to, place) in first {
        let pair = then.iter().position(|&(other, other_to, _)| (other, other_to) == (string, to));
        let then = pair.map(|pair| then.remove(pair).2);
        differing.push(Differing::Flip { string, to, first: Some(place), then });
    }
    let added = then.into_iter();
    differing.extend(added.map(|(string, to, place)| Differing::Flip { string, to, first: None, then: Some(place) }));
    differing
}

/// The notes of both times that are played on different strings. A note that a tie joins to one before it is plucked on one
/// of the two times only and says nothing.
fn notes_differing(
    first: &BTreeMap<NoteName, Option<StringNumber>>,
    then: impl Iterator<Item = (NoteName, Option<StringNumber>)>,
) -> Vec<Differing> {
    let differing = then.filter_map(|(note, then)| {
        let first = *first.get(&note)?;
        (first != then).then_some(Differing::String { note, first, then })
    });
    differing.collect()
}
