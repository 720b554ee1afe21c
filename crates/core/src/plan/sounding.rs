//! When strings sound that aren't plucked on their written instant: graces before it, the later strings of a roll after it.
//!
//! A hand that plays a grace note is busy from then on, and whatever lever the grace needs must stand by then; a rolled
//! string may not be touched before it has sounded. Graces take [`GRACE_STEP`] each and rolled strings [`ROLL_STEP`], but both
//! hurry where the music does: together they take no more than a third of the time from the pluck before, or to the pluck
//! after, of whichever hand. So there is always a moment between two plucks for a lever.

use std::collections::HashMap;

use super::Window;
use crate::score::{GRACE_STEP, OffBeat, Performance};
use crate::time::{ScoreTime, Seconds, TempoMap};

/// Between the notes of a rolled chord; common practice, a moderate roll. A drill's sound rolls faster: a hand is held to be
/// free only when it surely is.
const ROLL_STEP: Seconds = Seconds::new(0.06);
/// Of the time between two plucks, what graces or a roll may take.
const SHARE: f64 = 1.0 / 3.0;

/// When a pluck keeps its hand and its string busy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Busy {
    /// When it begins.
    pub from: Seconds,
    /// When the hand is free again.
    pub until: Seconds,
    /// The first and last of that and the written instant, in score time: no lever of the string moves between.
    first: ScoreTime,
    last: ScoreTime,
}

/// The plucks of a performance at a tempo; most sound where they are written.
pub(super) struct Sounding<'a> {
    performance: &'a Performance,
    tempo: &'a TempoMap,
    off_beat: HashMap<usize, Busy>,
}

impl<'a> Sounding<'a> {
    pub fn of(performance: &'a Performance, tempo: &'a TempoMap) -> Sounding<'a> {
        let plucks = 0..performance.plucks().len();
        let off_beat = plucks.filter_map(|pluck| Some((pluck, busy_off_beat(performance, tempo, pluck)?))).collect();
        Sounding { performance, tempo, off_beat }
    }

    /// Whether every pluck sounds at the instant at which it is written.
    pub fn is_as_written(&self) -> bool {
        self.off_beat.is_empty()
    }

    /// When a pluck keeps its hand busy.
    pub fn busy(&self, pluck: usize) -> Busy {
        self.off_beat.get(&pluck).copied().unwrap_or_else(|| {
            let at = self.performance.plucks()[pluck].at;
            let seconds = self.tempo.seconds_at(at);
            Busy { from: seconds, until: seconds, first: at, last: at }
        })
    }

    /// When the lever of a pluck's string may move again.
    pub fn over(&self, pluck: usize) -> ScoreTime {
        self.off_beat.get(&pluck).map_or(self.performance.plucks()[pluck].at, |busy| busy.last)
    }

    /// What a window, named by the plucks as they are written, leaves between their sounds.
    pub fn room(&self, window: Window, last: Option<usize>, needing: Option<usize>) -> Window {
        let before = needing.and_then(|pluck| self.off_beat.get(&pluck)).map_or(window.before, |busy| busy.first);
        Window { after: last.map(|last| self.over(last)), before }
    }
}

/// None for a pluck on its instant.
fn busy_off_beat(performance: &Performance, tempo: &TempoMap, pluck: usize) -> Option<Busy> {
    let plucks = performance.plucks();
    let at = plucks[pluck].at;
    let seconds = tempo.seconds_at(at);
    let share = |neighbour: Option<ScoreTime>, usual: Seconds, of: usize| {
        let squeezed = neighbour
            .map_or(f64::INFINITY, |other| (tempo.seconds_at(other) - seconds).get().abs() * SHARE / of as f64);
        Seconds::new(usual.get().min(squeezed))
    };
    match performance.off_beat(pluck) {
        OffBeat::OnIt => None,
        OffBeat::Before { steps, of } => {
            let before = plucks[..pluck].iter().rev().map(|other| other.at).find(|&other| other < at);
            let sounds = seconds - share(before, GRACE_STEP, of) * steps as f64;
            Some(Busy { from: sounds, until: sounds, first: tempo.score_time_at(sounds), last: at })
        }
        OffBeat::After { steps, of } => {
            let after =
                plucks[pluck..].iter().map(|other| other.at).chain([performance.end()]).find(|&other| other > at);
            let sounds = seconds + share(after, ROLL_STEP, of) * steps as f64;
            Some(Busy { from: seconds, until: sounds, first: at, last: tempo.score_time_at(sounds) })
        }
    }
}
