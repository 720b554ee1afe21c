//! The flips that a choice of strings asks for, before anyone has said when.

use super::comfort::LastSound;
use super::hand_track::fastest_side;
use super::places::Place;
use super::sounding::Sounding;
use super::{FlipName, Window};
use crate::harp::{Harp, LeverState, StringNumber};
use crate::score::{Performance, Pluck};
use crate::time::{ScoreTime, Seconds, TempoMap};

/// One flip that must happen somewhere in its window.
#[derive(Clone, Copy, Debug)]
pub(super) struct Need {
    pub string: StringNumber,
    pub to: LeverState,
    /// Between which plucks, as they are written.
    pub window: Window,
    /// What the sounds of those plucks leave of it: graces sound before the instant at which they are written, rolled
    /// strings after it.
    pub room: Window,
    /// The last pluck of the string in the old state.
    pub last: Option<LastSound>,
    /// The same, by its place in the performance.
    pub last_pluck: Option<usize>,
    pub name: FlipName,
    /// The pluck that needs it; none for a reset at the end.
    pub pluck: Option<usize>,
}

/// All that a need follows from.
pub(super) type NeedKey = (StringNumber, LeverState, Option<usize>, Option<usize>);

impl Need {
    /// Two needs of one piece with the same key are the same.
    pub fn key(&self) -> NeedKey {
        (self.string, self.to, self.last_pluck, self.pluck)
    }
}

/// A string's state and its last pluck, in the course of playing.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct StringState {
    /// Where its lever stands; none while it is still free to be set at the start.
    pub lever: Option<LeverState>,
    /// Its last pluck, by its place in the performance.
    pub last: Option<usize>,
}

impl StringState {
    /// The state once the string has been plucked. Of two notes that one pluck serves the longer counts as the last.
    pub fn plucked(self, lever: LeverState, pluck: usize, plucks: &[Pluck]) -> StringState {
        let longer = self.last.filter(|&last| {
            plucks[last].at == plucks[pluck].at && plucks[last].written_end > plucks[pluck].written_end
        });
        StringState { lever: Some(lever), last: longer.or(Some(pluck)) }
    }
}

/// Makes needs out of plucks.
pub(super) struct Needs<'a> {
    pub performance: &'a Performance,
    pub harp: &'a Harp,
    pub tempo: &'a TempoMap,
    pub sounding: Sounding<'a>,
}

impl Needs<'_> {
    /// The flip that a pluck needs of a string that is in another state.
    pub fn of_pluck(&self, string: StringNumber, to: LeverState, last: Option<usize>, pluck: usize) -> Need {
        let plucked = &self.performance.plucks()[pluck];
        let bar = &self.performance.bars()[plucked.played_bar];
        let window = Window { after: self.plucked_at(last), before: plucked.at };
        Need {
            string,
            to,
            window,
            room: self.sounding.room(window, last, Some(pluck)),
            last: self.last_sound(last),
            last_pluck: last,
            name: FlipName {
                string,
                to,
                needed_in: bar.bar,
                needed_at: plucked.at - bar.starts,
                time_through: bar.earlier_times,
            },
            pluck: Some(pluck),
        }
    }

    /// The flip that brings a string back at the end of the piece.
    pub fn of_reset(&self, string: StringNumber, to: LeverState, last: Option<usize>) -> Option<Need> {
        let bar = self.performance.bars().last()?;
        let window = Window { after: self.plucked_at(last), before: self.performance.end() };
        // The string's first pluck, for which it is brought back, sounds this note.
        let sounds = self.harp.string(string)?.sounds(to).midi();
        let room = Window { before: self.sounding.end_before(sounds), ..self.sounding.room(window, last, None) };
        Some(Need {
            string,
            to,
            window,
            room,
            last: self.last_sound(last),
            last_pluck: last,
            name: FlipName { string, to, needed_in: bar.bar, needed_at: bar.length, time_through: bar.earlier_times },
            pluck: None,
        })
    }

    /// How many times as fast the piece may go until a flip's place no longer lies between the sounds of its string: a rolled note
    /// before, graces after.
    pub fn fastest(&self, need: &Need, place: &Place) -> f64 {
        let seconds_at = |pluck: usize| self.tempo.seconds_at(self.performance.plucks()[pluck].at);
        let shift = |pluck: usize| self.sounding.busy(pluck).shift;
        let after = need.last_pluck.map(|last| (place.seconds - seconds_at(last), shift(last).to_the_end()));
        let before = need.pluck.map(|pluck| (seconds_at(pluck) - place.seconds, shift(pluck).to_the_beginning()));
        let again = match (need.pluck, self.harp.string(need.string)) {
            (None, Some(string)) => Some(string.sounds(need.to).midi()),
            _ => None,
        };
        let again = again.into_iter().flat_map(|note| self.sounding.graces_before_the_start(note)).map(|grace| {
            let end = self.tempo.seconds_at(self.performance.end());
            (end + seconds_at(grace) - place.seconds, shift(grace).to_the_beginning())
        });
        let sides = after.into_iter().chain(before).chain(again);
        sides.map(|(apart, taken)| fastest_side(apart, taken, Seconds::ZERO)).fold(f64::INFINITY, f64::min)
    }

    fn plucked_at(&self, pluck: Option<usize>) -> Option<ScoreTime> {
        pluck.map(|index| self.performance.plucks()[index].at)
    }

    fn last_sound(&self, pluck: Option<usize>) -> Option<LastSound> {
        let pluck = &self.performance.plucks()[pluck?];
        Some(LastSound {
            plucked: self.tempo.seconds_at(pluck.at),
            written_end: pluck.written_end,
            note: pluck.pitch.midi(),
        })
    }
}
