//! Where each hand is busy, and what time that leaves it for a lever.

use super::places::Place;
use super::reach::{Reaches, Spot};
use super::sounding::{Shift, Sounding};
use super::{EndOfPiece, Request};
use crate::harp::{Millimetres, StringNumber};
use crate::score::Hand;
use crate::time::{ScoreTime, Seconds, Ticks};

/// One moment at which a hand plucks.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stop {
    pub at: ScoreTime,
    /// When that is.
    pub written: Seconds,
    /// When it begins: with the first of its grace notes.
    pub from: Seconds,
    /// When the hand is free again: with the last note of a roll.
    pub free: Seconds,
    /// Where the hand is across the harp, from the top string; none where its notes are off the harp.
    pub across: Option<f64>,
    /// The same, as what the ways to the levers are asked for.
    spot: Spot,
    /// How many notes on the harp it plucks.
    notes: u32,
    /// The first of its plucks, by its place in the performance.
    first: usize,
}

/// The plucks of both hands on a harp at a tempo. In a loop each hand's last pluck stands before its first once more, and its first
/// after its last.
pub(super) struct HandTracks<'a> {
    tracks: [Vec<Stop>; 2],
    reaches: Reaches<'a>,
}

/// The time of one hand movement.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Timing {
    /// Out, flip, back and placed.
    pub needed: Seconds,
    /// The tighter of time over need, before and after the flip; none where nothing limits it.
    pub slack: Option<f64>,
}

impl Timing {
    pub fn is_rushed(self) -> bool {
        self.slack.is_some_and(|slack| slack < 1.0)
    }
}

impl<'a> HandTracks<'a> {
    pub fn new(request: &Request<'a>, sounding: &Sounding<'_>) -> HandTracks<'a> {
        let Request { performance, harp, pace, .. } = *request;
        let mut tracks = [Vec::<Stop>::new(), Vec::new()];
        for (index, pluck) in performance.plucks().iter().enumerate() {
            // The hand goes to the note's own letter; whether the planner then takes the neighbour string makes no
            // difference worth measuring, and strings and hands stay independent of each other.
            let across = harp.string_of_letter(pluck.pitch).map(|(_, string)| string.place.across.get());
            let track = &mut tracks[pluck.hand as usize];
            match track.last_mut() {
                Some(stop) if stop.at == pluck.at => {
                    if !sounding.is_as_written() {
                        let busy = sounding.busy(index);
                        stop.from = Seconds::new(stop.from.get().min(busy.from.get()));
                        stop.free = Seconds::new(stop.free.get().max(busy.until.get()));
                    }
                    stop.across = match (stop.across, across) {
                        (Some(mean), Some(new)) => Some(mean + (new - mean) / f64::from(stop.notes + 1)),
                        (known, new) => known.or(new),
                    };
                    stop.notes += u32::from(across.is_some());
                }
                _ => {
                    let busy = sounding.busy(index);
                    track.push(Stop {
                        at: pluck.at,
                        written: request.tempo.seconds_at(pluck.at),
                        from: busy.from,
                        free: busy.until,
                        across,
                        spot: Reaches::AT_THE_LEVER,
                        notes: u32::from(across.is_some()),
                        first: index,
                    });
                }
            }
        }
        if request.ending == EndOfPiece::Loop {
            let (length, lasting) = (performance.end() - ScoreTime::START, request.tempo.seconds_at(performance.end()));
            tracks.iter_mut().for_each(|track| close(track, length, lasting));
        }
        let mut reaches = Reaches::new(harp, pace);
        for stop in tracks.iter_mut().flatten() {
            stop.spot = reaches.spot(stop.across);
        }
        HandTracks { tracks, reaches }
    }

    /// The time of a hand that moves the levers of some strings at a place, as if it moved no others since its last
    /// pluck. The hand may wait at the lever or on the strings, so only the two sides of the flip count.
    pub fn timing(&self, hand: Hand, place: &Place, strings: &[StringNumber]) -> Timing {
        let (before, after) = self.around(hand, place);
        let (out, back) = self.ways(hand, place, strings);
        let ratio = |available: Seconds, needed: Seconds| available.get().max(0.0) / needed.get();
        let slack_before = before.map(|stop| ratio(place.seconds - stop.free, out));
        let slack_after = after.map(|stop| ratio(stop.from - place.seconds, back));
        Timing { needed: out + back, slack: tighter(slack_before, slack_after) }
    }

    /// The same after another lever moved by the same hand with no pluck between.
    pub fn timing_after(&self, timing: Timing, place: &Place, previous: &Place, levers: usize) -> Timing {
        Timing { slack: tighter(timing.slack, Some(self.slack_after(place, previous, levers))), ..timing }
    }

    /// Time over need from another lever moved by the same hand.
    pub fn slack_after(&self, place: &Place, previous: &Place, levers: usize) -> f64 {
        (place.seconds - previous.seconds).get() / self.reaches.on_to(levers).get()
    }

    /// How many times as fast the piece may go until a movement has just the time it needs; none where nothing limits it. What
    /// graces and rolls take of that time does not change with the tempo, until they are squeezed.
    pub fn fastest(&self, hand: Hand, place: &Place, strings: &[StringNumber], sounding: &Sounding<'_>) -> Option<f64> {
        let (before, after) = self.around(hand, place);
        let (out, back) = self.ways(hand, place, strings);
        let before = before.into_iter().flat_map(|stop| {
            let apart = place.seconds - stop.written;
            sounding.shifts(stop.first).map(move |shift| fastest_side(apart, shift, out))
        });
        let after = after.into_iter().flat_map(|stop| {
            let apart = stop.written - place.seconds;
            sounding.shifts(stop.first).map(move |shift| fastest_side(apart, shift.to_the_beginning(), back))
        });
        before.chain(after).reduce(f64::min)
    }

    /// For each hand, how many of its stops lie at or before a moment.
    pub fn stops_until(&self, at: ScoreTime) -> [usize; 2] {
        [0, 1].map(|hand: usize| self.tracks[hand].partition_point(|stop| stop.at <= at))
    }

    /// How far a hand goes across the harp between its plucks around a place, if it has less than a second from the
    /// place to the second of them; it must be watched then.
    pub fn leap_near(&self, hand: Hand, place: &Place) -> Option<Millimetres> {
        let (Some(before), Some(after)) = self.around(hand, place) else { return None };
        let soon = after.from - place.seconds < Seconds::new(1.0);
        match (before.across, after.across) {
            (Some(from), Some(to)) if soon => Some(Millimetres::new((from - to).abs())),
            _ => None,
        }
    }

    /// What a hand plucks, in order of time.
    pub fn stops(&self, hand: Hand) -> &[Stop] {
        &self.tracks[hand as usize]
    }

    /// How long a hand takes to the levers of some strings, and back, around a place.
    pub fn ways(&self, hand: Hand, place: &Place, strings: &[StringNumber]) -> (Seconds, Seconds) {
        let (before, after) = self.around(hand, place);
        let spot = |stop: Option<&Stop>| stop.map_or(Reaches::AT_THE_LEVER, |stop| stop.spot);
        (self.reaches.out(spot(before), strings), self.reaches.back(spot(after), strings))
    }

    /// A hand's last stop up to a place, and its next one.
    fn around(&self, hand: Hand, place: &Place) -> (Option<&Stop>, Option<&Stop>) {
        let (track, next) = (&self.tracks[hand as usize], place.next_stop[hand as usize]);
        (next.checked_sub(1).and_then(|before| track.get(before)), track.get(next))
    }
}

/// Puts a hand's last stop of the pass before in front of its first, and its first of the next pass behind its last.
fn close(track: &mut Vec<Stop>, length: Ticks, lasting: Seconds) {
    let (Some(&first), Some(&last)) = (track.first(), track.last()) else { return };
    let moved = |stop: Stop, length: Ticks, lasting: Seconds| Stop {
        at: stop.at + length,
        written: stop.written + lasting,
        from: stop.from + lasting,
        free: stop.free + lasting,
        ..stop
    };
    track.insert(0, moved(last, -length, Seconds::ZERO - lasting));
    track.push(moved(first, length, lasting));
}

/// How many times as fast the piece may go until what lies between a flip and a pluck's written instant, less what the pluck's
/// shift takes of it, is just what the hand needs.
pub(super) fn fastest_side(apart: Seconds, taken: Shift, needed: Seconds) -> f64 {
    // The third of a gap up to which a grace is squeezed can be the flip's own place: rounding mustn't decide then.
    const NEARLY: f64 = 1.0 + 1e-9;
    let (apart, needed) = (apart.get().max(0.0), needed.get());
    // At a slow tempo the shift takes its usual time: apart / f - usual = needed.
    if needed + taken.usual > 0.0 {
        let slow = apart / (needed + taken.usual);
        if taken.usual == 0.0 || slow <= taken.squeezed / taken.usual * NEARLY {
            return slow;
        }
    }
    // At a fast one it shrinks with the rest: (apart - squeezed) / f = needed.
    if needed > 0.0 { (apart - taken.squeezed).max(0.0) / needed } else { f64::INFINITY }
}

fn tighter(a: Option<f64>, b: Option<f64>) -> Option<f64> {
    match (a, b) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}
