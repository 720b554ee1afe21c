//! Where the eyes are around a flip: when they can leave the strings for the lever, and when they must be back.
//!
//! The eyes go to the lever with the hand that flips, and back with it. The other hand plays on meanwhile and is watched
//! only where it leaps more than five strings (as the comfort table has it): the eyes stay with it until it has landed, and
//! are back before its next leap. Where that leaves them less than the flip itself takes, it has to leap by feel.

use super::bench::Bench;
use super::hand_track::Stop;
use super::{Gesture, Plan, Request};
use crate::harp::{Millimetres, StringNumber};
use crate::time::{ScoreTime, Seconds};

/// Eyes that come to a lever later than this before its flip don't help: the time of the flip itself (set by us, as in
/// [`super::HandPace`]).
const LATEST_LOOK: Seconds = Seconds::new(0.2);
/// Eyes are back this long before a string has to be found (set by us: the time of placing in [`super::HandPace`]).
const TO_FIND_A_STRING: Seconds = Seconds::new(0.15);

/// Where the eyes are around one gesture, at the tempo that was asked for. Times are seconds from the flip beat.
#[derive(Clone, Debug, PartialEq)]
pub struct LookTime {
    /// When the look goes to the lever; not after the flip beat, so never more than 0.
    pub to_lever: Seconds,
    /// When it must be on the strings again; never less than 0, none where no hand has anything to play after that.
    pub to_strings: Option<Seconds>,
    /// The same as an instant of the piece, to the nearest tick.
    pub to_lever_at: ScoreTime,
    /// The same as an instant of the piece, to the nearest tick.
    pub to_strings_at: Option<ScoreTime>,
    /// The plucks of the other hand that fall into that time and are played by feel, by their place in the performance.
    pub by_feel: Vec<usize>,
    /// Those of them that the hand has to leap to.
    pub leaps_by_feel: Vec<usize>,
}

/// Where the eyes are around each gesture of a plan that was made for this piece and harp, in its order. The tempo may be
/// another one than the plan was made for: that of a drill.
pub fn look_times(request: &Request<'_>, plan: &Plan) -> Vec<LookTime> {
    let bench = Bench::new(request);
    plan.gestures.iter().map(|gesture| look_time(&bench, gesture)).collect()
}

fn look_time(bench: &Bench<'_>, gesture: &Gesture) -> LookTime {
    let request = bench.request;
    let place = bench.place_at(gesture.at);
    let strings: Vec<StringNumber> = gesture.flips.iter().map(|flip| flip.string).collect();
    let (out, _) = bench.tracks.ways(gesture.hand, &place, &strings);
    let own = bench.tracks.stops(gesture.hand);
    let next_own = place.next_stop[gesture.hand as usize];
    let other = bench.tracks.stops(!gesture.hand);
    let next_other = place.next_stop[!gesture.hand as usize];

    // The eyes go with the hand, but no sooner than it is free, and no sooner than a leap of the other hand has landed.
    let mut to_lever = place.seconds - out;
    if let Some(last) = next_own.checked_sub(1).map(|index| own[index]) {
        to_lever = later(to_lever, last.free);
    }
    let landed = (0..next_other).rev().find(|&index| is_leap(other, index)).map(|index| other[index].from);
    if let Some(landed) = landed.filter(|&landed| landed <= place.seconds - LATEST_LOOK) {
        to_lever = later(to_lever, landed);
    }
    let to_lever = earlier(to_lever, place.seconds);

    let own_next = own.get(next_own).map(|stop| stop.from);
    let next_leap = (next_other..other.len()).find(|&index| is_leap(other, index)).map(|index| other[index].from);
    let needed = [own_next, next_leap].into_iter().flatten().reduce(earlier);
    let to_strings = needed.map(|needed| later(needed - TO_FIND_A_STRING, place.seconds));

    let away = |stop: &Stop| stop.from > to_lever && to_strings.is_none_or(|back| stop.from < back);
    let blind = (0..other.len()).filter(|&index| away(&other[index]));
    let mut look = LookTime {
        to_lever: to_lever - place.seconds,
        to_strings: to_strings.map(|back| back - place.seconds),
        to_lever_at: request.tempo.score_time_at(to_lever),
        to_strings_at: to_strings.map(|back| request.tempo.score_time_at(back)),
        by_feel: Vec::new(),
        leaps_by_feel: Vec::new(),
    };
    // Without anything to come back for, what the other hand goes on playing is watched as soon as the flip is made.
    let until = to_strings.unwrap_or(place.seconds);
    for index in blind.take_while(|&index| other[index].from < until || other[index].from <= place.seconds) {
        let plucks = plucks_of(request, other[index].at, !gesture.hand);
        if is_leap(other, index) {
            look.leaps_by_feel.extend(plucks.clone());
        }
        look.by_feel.extend(plucks);
    }
    look
}

fn plucks_of(request: &Request<'_>, at: ScoreTime, hand: crate::score::Hand) -> Vec<usize> {
    let plucks = request.performance.plucks();
    let from = plucks.partition_point(|pluck| pluck.at < at);
    (from..plucks.len())
        .take_while(|&index| plucks[index].at == at)
        .filter(|&index| plucks[index].hand == hand)
        .collect()
}

/// Whether a hand leaps more than five strings to what it plucks.
fn is_leap(stops: &[Stop], index: usize) -> bool {
    let before = index.checked_sub(1).and_then(|before| stops[before].across);
    let leap = before.zip(stops[index].across).map(|(from, to)| Millimetres::new((from - to).abs()));
    super::comfort::of_leap(leap) > 0
}

fn later(a: Seconds, b: Seconds) -> Seconds {
    if a < b { b } else { a }
}

fn earlier(a: Seconds, b: Seconds) -> Seconds {
    if b < a { b } else { a }
}
