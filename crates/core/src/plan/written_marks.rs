//! Lever marks that stand in the score, as the player's own decisions.
//!
//! A mark says: from here on the strings of this letter sound so. Without an octave it means those strings whose next
//! note asks for it. What it becomes:
//! - before the first note of the piece (a list of set levers at its head): the lever is set before the start;
//! - where the string has sounded otherwise before: the flip for its next note is made here, each time through;
//! - where the string hasn't sounded yet: the same, and the lever starts the other way, as the key has it. If the key
//!   has it so already the mark is only a reminder.

use std::collections::BTreeMap;

use super::{Edit, FlipName};
use crate::harp::{Harp, HarpString, LeverState, Setting, StringNumber};
use crate::score::{LeverMark, Performance, PlayedBar, Pluck};
use crate::time::ScoreTime;

/// What lever marks have become.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct MarkedEdits {
    /// The decisions, for [`super::Request::edits`].
    pub edits: Vec<Edit>,
    /// Marks that mean nothing on this harp in this piece, by their place among the marks.
    pub unmet: Vec<UnmetMark>,
}

/// A mark that became no decision.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct UnmetMark {
    /// Its place among the marks.
    pub mark: usize,
    /// Why.
    pub why: UnmetMarkReason,
}

/// Why a mark became no decision.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum UnmetMarkReason {
    /// It only reminds: the levers of its letter stand so already, or no note after it asks for it.
    NothingToFlip,
    /// It stands on the very note that needs the flip, which must be made before.
    OnItsNote,
    /// No string of the harp can sound so.
    NoSuchString,
}

/// Makes decisions of the marks of a score.
pub fn edits_of_marks(marks: &[LeverMark], performance: &Performance, harp: &Harp) -> MarkedEdits {
    let mut reading = Reading {
        performance,
        key_setting: Setting::for_key(harp, performance.key()),
        begins: performance.plucks().first().map_or(performance.end(), |first| first.at),
        sounded: harp.numbered().map(|(_, string)| plucks_of(performance, string)).collect(),
        flips: BTreeMap::new(),
        presets: BTreeMap::new(),
    };
    let mut unmet = Vec::new();
    for (index, mark) in marks.iter().enumerate() {
        let strings = harp.numbered().filter_map(|(number, string)| Some((number, state_of_mark(mark, string)?)));
        let strings: Vec<(StringNumber, LeverState)> = strings.collect();
        let met = performance
            .bars()
            .iter()
            .filter(|bar| bar.bar == mark.bar)
            .flat_map(|bar| strings.iter().map(move |&(string, to)| (bar, string, to)))
            .map(|(bar, string, to)| reading.mark(mark, bar, string, to))
            .reduce(|one, other| if one.is_ok() { one } else { other.or(Err(best_reason(one, other))) })
            .unwrap_or(Err(UnmetMarkReason::NoSuchString));
        unmet.extend(met.err().map(|why| UnmetMark { mark: index, why }));
    }
    let presets = reading.presets.into_iter().map(|(string, state)| Edit::Preset { string, state });
    let places = reading.flips.into_iter().map(|(flip, mark)| Edit::Place { flip, bar: mark.bar, at: mark.at });
    MarkedEdits { edits: presets.chain(places).collect(), unmet }
}

/// Of two failures the one that says more.
fn best_reason(one: Result<(), UnmetMarkReason>, other: Result<(), UnmetMarkReason>) -> UnmetMarkReason {
    let on_its_note = |result: &Result<(), _>| *result == Err(UnmetMarkReason::OnItsNote);
    if on_its_note(&one) || on_its_note(&other) { UnmetMarkReason::OnItsNote } else { UnmetMarkReason::NothingToFlip }
}

/// The lever state in which a string sounds as a mark says; none for strings that it doesn't mean.
fn state_of_mark(mark: &LeverMark, string: &HarpString) -> Option<LeverState> {
    let meant = string.open.letter() == mark.letter && mark.octave.is_none_or(|octave| octave == string.open.octave());
    let sounds_so = |state: &LeverState| string.allows(*state) && string.sounds(*state).alter() == mark.alter;
    meant.then(|| [LeverState::Down, LeverState::Up].into_iter().find(sounds_so)).flatten()
}

/// The plucks written for a string's letter, in order of time.
fn plucks_of<'a>(performance: &'a Performance, string: &HarpString) -> Vec<&'a Pluck> {
    let steps = string.open.staff_steps();
    performance.plucks().iter().filter(|pluck| pluck.pitch.staff_steps() == steps).collect()
}

struct Reading<'a> {
    performance: &'a Performance,
    key_setting: Setting,
    /// When the first note sounds.
    begins: ScoreTime,
    /// By string.
    sounded: Vec<Vec<&'a Pluck>>,
    /// The first mark for a flip counts: what follows it only reminds.
    flips: BTreeMap<FlipName, LeverMark>,
    presets: BTreeMap<StringNumber, LeverState>,
}

impl Reading<'_> {
    fn mark(
        &mut self,
        mark: &LeverMark,
        bar: &PlayedBar,
        string: StringNumber,
        to: LeverState,
    ) -> Result<(), UnmetMarkReason> {
        let moment = bar.starts + mark.at.min(bar.length);
        let plucks = &self.sounded[string.index()];
        let next = plucks.partition_point(|pluck| pluck.at < moment);
        let asks_for_it = |pluck: &Pluck| pluck.pitch.alter() == mark.alter;
        if moment <= self.begins {
            if plucks.first().is_some_and(|first| !asks_for_it(first)) {
                return Err(UnmetMarkReason::NothingToFlip);
            }
            self.presets.entry(string).or_insert(to);
            return Ok(());
        }
        let needing = plucks.get(next).filter(|pluck| asks_for_it(pluck)).ok_or(UnmetMarkReason::NothingToFlip)?;
        match next.checked_sub(1).map(|before| plucks[before]) {
            Some(before) if asks_for_it(before) => return Err(UnmetMarkReason::NothingToFlip),
            Some(_) => {}
            None => {
                let at_start = self.presets.get(&string).copied().unwrap_or(self.key_setting.of(string));
                if at_start == to {
                    return Err(UnmetMarkReason::NothingToFlip);
                }
            }
        }
        if needing.at == moment {
            return Err(UnmetMarkReason::OnItsNote);
        }
        if next == 0 {
            self.presets.insert(string, !to);
        }
        let needed = &self.performance.bars()[needing.played_bar];
        let flip = FlipName {
            string,
            to,
            needed_in: needed.bar,
            needed_at: needing.at - needed.starts,
            time_through: needed.earlier_times,
        };
        self.flips.entry(flip).or_insert(*mark);
        Ok(())
    }
}

#[cfg(test)]
mod tests;
