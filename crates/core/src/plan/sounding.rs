//! When strings sound that aren't plucked on their written instant: graces before it, the later strings of a roll after it.
//!
//! A hand that plays a grace note is busy from then on, and whatever lever the grace needs must stand by then; a rolled
//! string may not be touched before it has sounded. Graces take [`GRACE_STEP`] each and rolled strings [`ROLL_STEP`], but both
//! hurry where the music does: together they take no more than a third of the time from the pluck before, or to the pluck
//! after, of whichever hand. So there is always a moment between two plucks for a lever. In a loop the last pluck comes before the
//! first, and the graces of the beginning sound while the end of the pass before is still played.

use std::collections::HashMap;

use super::{EndOfPiece, Request, Window};
use crate::pitch::MidiNote;
use crate::score::{GRACE_STEP, OffBeat};
use crate::time::{ScoreTime, Seconds};

/// Between the notes of a rolled chord; common practice, a moderate roll. A drill's sound rolls faster: a hand is held to be
/// free only when it surely is.
const ROLL_STEP: Seconds = Seconds::new(0.06);
/// Of the time between two plucks, what graces or a roll may take.
const SHARE: f64 = 1.0 / 3.0;

/// How far from its written instant a pluck sounds, in seconds: before it negative, after it positive. The usual distance is the
/// same at every tempo; squeezed between other plucks the distance shrinks as the tempo grows. The shorter one counts.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Shift {
    pub usual: f64,
    /// Infinite where no other pluck is near.
    pub squeezed: f64,
}

impl Shift {
    /// The other way round, for a hand that has to be back in time; a rolled string keeps it waiting no earlier than the beat.
    pub fn to_the_beginning(self) -> Shift {
        if self.usual > 0.0 { Shift::default() } else { Shift { usual: -self.usual, squeezed: -self.squeezed } }
    }

    /// What a roll takes from a string's time after its pluck.
    pub fn to_the_end(self) -> Shift {
        if self.usual > 0.0 { self } else { Shift::default() }
    }

    fn seconds(self) -> f64 {
        if self.usual.abs() <= self.squeezed.abs() { self.usual } else { self.squeezed }
    }
}

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
    pub shift: Shift,
}

/// The plucks of a performance at a tempo; most sound where they are written.
pub(super) struct Sounding<'a> {
    request: &'a Request<'a>,
    off_beat: HashMap<usize, Busy>,
}

impl<'a> Sounding<'a> {
    pub fn of(request: &'a Request<'a>) -> Sounding<'a> {
        let plucks = 0..request.performance.plucks().len();
        let off_beat = plucks.filter_map(|pluck| Some((pluck, busy_off_beat(request, pluck)?))).collect();
        Sounding { request, off_beat }
    }

    /// Whether every pluck sounds at the instant at which it is written.
    pub fn is_as_written(&self) -> bool {
        self.off_beat.is_empty()
    }

    /// When a pluck keeps its hand busy.
    pub fn busy(&self, pluck: usize) -> Busy {
        self.off_beat.get(&pluck).copied().unwrap_or_else(|| {
            let at = self.request.performance.plucks()[pluck].at;
            let seconds = self.request.tempo.seconds_at(at);
            Busy { from: seconds, until: seconds, first: at, last: at, shift: Shift::default() }
        })
    }

    /// The shifts of all plucks that one hand makes at one instant, given the first of them.
    pub fn shifts(&self, first: usize) -> impl Iterator<Item = Shift> {
        let plucks = self.request.performance.plucks();
        let together = (first..plucks.len()).take_while(move |&pluck| plucks[pluck].at == plucks[first].at);
        together.filter(move |&pluck| plucks[pluck].hand == plucks[first].hand).map(|pluck| self.busy(pluck).shift)
    }

    /// When the lever of a pluck's string may move again.
    pub fn over(&self, pluck: usize) -> ScoreTime {
        self.off_beat.get(&pluck).map_or(self.request.performance.plucks()[pluck].at, |busy| busy.last)
    }

    /// What a window, named by the plucks as they are written, leaves between their sounds.
    pub fn room(&self, window: Window, last: Option<usize>, needing: Option<usize>) -> Window {
        let before = needing.and_then(|pluck| self.off_beat.get(&pluck)).map_or(window.before, |busy| busy.first);
        Window { after: last.map(|last| self.over(last)), before }
    }

    /// The latest that a lever may move at the end of a loop whose string is to sound a note from then on: the end, or earlier
    /// where the beginning has graces on that note.
    pub fn end_before(&self, note: MidiNote) -> ScoreTime {
        let Request { performance, tempo, .. } = *self.request;
        let early = self.graces_before_the_start(note).map(|grace| self.off_beat[&grace].from.get());
        early.reduce(f64::min).map_or(performance.end(), |early| {
            tempo.score_time_at(tempo.seconds_at(performance.end()) + Seconds::new(early))
        })
    }

    /// The graces on a note that sound before the piece's first instant.
    pub fn graces_before_the_start(&self, note: MidiNote) -> impl Iterator<Item = usize> {
        let plucks = self.request.performance.plucks();
        // Nothing sounds earlier than a third of the way to the pluck before, so only those of the first instant do.
        let first = plucks.iter().take_while(move |pluck| pluck.at == plucks[0].at).enumerate();
        first
            .filter(move |(index, pluck)| {
                pluck.pitch.midi() == note && self.off_beat.get(index).is_some_and(|busy| busy.from < Seconds::ZERO)
            })
            .map(|(index, _)| index)
    }
}

/// None for a pluck on its instant.
fn busy_off_beat(request: &Request<'_>, pluck: usize) -> Option<Busy> {
    let Request { performance, tempo, ending, .. } = *request;
    let plucks = performance.plucks();
    let at = plucks[pluck].at;
    let seconds = tempo.seconds_at(at);
    let shift = |steps: usize, of: usize, step: Seconds, room: Option<Seconds>| Shift {
        usual: step.get() * steps as f64,
        squeezed: room.map_or(f64::INFINITY, |room| room.get() * SHARE * steps as f64 / of as f64),
    };
    match performance.off_beat(pluck) {
        OffBeat::OnIt => None,
        OffBeat::Before { steps, of } => {
            let before = plucks[..pluck].iter().rev().map(|other| other.at).find(|&other| other < at);
            let room = match (before, plucks.last()) {
                (Some(before), _) => Some(seconds - tempo.seconds_at(before)),
                (None, Some(last)) if ending == EndOfPiece::Loop => {
                    Some(tempo.seconds_at(performance.end()) - tempo.seconds_at(last.at) + seconds)
                }
                (None, _) => None,
            };
            let Shift { usual, squeezed } = shift(steps, of, GRACE_STEP, room);
            let shift = Shift { usual: -usual, squeezed: -squeezed };
            let sounds = seconds + Seconds::new(shift.seconds());
            Some(Busy { from: sounds, until: sounds, first: tempo.score_time_at(sounds), last: at, shift })
        }
        OffBeat::After { steps, of } => {
            let after =
                plucks[pluck..].iter().map(|other| other.at).chain([performance.end()]).find(|&other| other > at);
            let shift = shift(steps, of, ROLL_STEP, after.map(|after| tempo.seconds_at(after) - seconds));
            let sounds = seconds + Seconds::new(shift.seconds());
            Some(Busy { from: seconds, until: sounds, first: at, last: tempo.score_time_at(sounds), shift })
        }
    }
}
