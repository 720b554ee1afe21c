//! Where each hand is busy, and what time that leaves it for a lever.

use super::HandPace;
use super::places::Place;
use super::reach::{Reaches, Spot};
use super::sounding::Sounding;
use crate::harp::{Harp, Millimetres, StringNumber};
use crate::score::{Hand, Performance};
use crate::time::{ScoreTime, Seconds};

/// One moment at which a hand plucks.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stop {
    pub at: ScoreTime,
    /// When it begins: with the first of its grace notes.
    pub from: Seconds,
    /// When the hand is free again: with the last note of a roll.
    pub free: Seconds,
    /// Where the hand is across the harp, from the top string; none where its notes are off the harp.
    pub across: Option<f64>,
    /// The same, as what the ways to the levers are asked for.
    spot: Spot,
    /// The lowest and highest string plucked, as distance across in millimetres.
    notes: u32,
}

/// The plucks of both hands on a harp at a tempo.
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
    pub fn new(
        performance: &Performance,
        harp: &'a Harp,
        sounding: &Sounding<'_>,
        pace: &'a HandPace,
    ) -> HandTracks<'a> {
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
                    stop.notes += 1;
                }
                _ => {
                    let busy = sounding.busy(index);
                    track.push(Stop {
                        at: pluck.at,
                        from: busy.from,
                        free: busy.until,
                        across,
                        spot: Reaches::AT_THE_LEVER,
                        notes: 1,
                    });
                }
            }
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
        let needed = self.reaches.on_to(levers);
        let slack = (place.seconds - previous.seconds).get() / needed.get();
        Timing { slack: tighter(timing.slack, Some(slack)), ..timing }
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

fn tighter(a: Option<f64>, b: Option<f64>) -> Option<f64> {
    match (a, b) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}
