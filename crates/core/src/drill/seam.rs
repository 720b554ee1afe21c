//! What is counted between two passes, and how the levers come back there.

use super::TimelineOptions;
use super::chunk::{Chunk, ChunkRequest};
use super::clicks::clicks;
use crate::harp::{LeverState, Millimetres, Setting, StringNumber};
use crate::meter::Meter;
use crate::plan::{Flip, Gesture, TopTempo, Window};
use crate::score::{Hand, PlayedBar};
use crate::time::{ScoreTime, Seconds, Ticks};

/// A bar, or a part of one, that is counted at the seam and holds no notes.
///
/// Three things need them: the levers, which are brought back in whole bars; a last bar that breaks off early, which
/// is counted to its end; and a pickup at the chunk's beginning, before which the missing part of its bar is counted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SeamBar {
    /// Its meter.
    pub meter: Meter,
    /// How much of a full bar has already been counted when it begins.
    pub anacrusis: Ticks,
    /// How long it lasts.
    pub length: Ticks,
}

/// More whole bars than any reset needs: at the fastest tempo a bar lasts at least 9 ms, and a harp has at most 60
/// levers at a few seconds each.
const MOST_RESET_BARS: usize = 50_000;

/// The shortest seam in which the levers can be brought back in time, and the gestures that do it.
pub(super) fn seam_of(chunk: &Chunk, request: &ChunkRequest<'_>) -> (Vec<SeamBar>, Vec<Gesture>) {
    let played = request.performance.bars();
    let (first, last) = (&played[chunk.first], &played[chunk.last]);
    let groups = reset_groups(&chunk.end_setting(request.plan), &chunk.start);
    let hand = LeftHand::of(chunk, request);
    let needs = hand.needs(&groups, request);
    let reset = Reset { chunk, request, groups, hand, needs };
    (0..MOST_RESET_BARS)
        .find_map(|whole_bars| {
            let bars = seam_bars(first, last, whole_bars);
            let places = reset.places_on_beats(&bars)?;
            let gestures = reset.gestures(&places, length_of(&bars));
            Some((bars, gestures))
        })
        .unwrap_or_else(|| (seam_bars(first, last, 0), Vec::new()))
}

fn length_of(bars: &[SeamBar]) -> Ticks {
    bars.iter().map(|bar| bar.length).sum()
}

/// The bars of a seam with so many whole bars in it.
fn seam_bars(first: &PlayedBar, last: &PlayedBar, whole_bars: usize) -> Vec<SeamBar> {
    let full = last.meter.bar_length();
    let counted = Ticks::new((last.anacrusis + last.length).get().rem_euclid(full.get()));
    let pickup = first.anacrusis;
    let part = |meter: &Meter, anacrusis, length| SeamBar { meter: meter.clone(), anacrusis, length };
    let mut bars = Vec::new();
    let mut whole_bars = whole_bars;
    if counted > Ticks::ZERO && counted <= pickup && first.meter == last.meter {
        // The broken-off bar and the pickup fit into one bar, as at the two ends of most pieces with a pickup.
        match whole_bars.checked_sub(1) {
            None if counted < pickup => return vec![part(&last.meter, counted, pickup - counted)],
            None => return bars,
            Some(fewer) => whole_bars = fewer,
        }
    }
    if counted > Ticks::ZERO {
        bars.push(part(&last.meter, counted, full - counted));
    }
    bars.extend((0..whole_bars).map(|_| part(&last.meter, Ticks::ZERO, full)));
    if pickup > Ticks::ZERO {
        bars.push(part(&first.meter, Ticks::ZERO, pickup));
    }
    bars
}

/// Levers moved in one gesture.
struct Group {
    strings: Vec<StringNumber>,
    to: LeverState,
}

/// The levers that stand otherwise at the end than at the start, from the top; neighbours that go the same way
/// together.
fn reset_groups(end: &Setting, start: &Setting) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for (string, to) in end.changes_to(start) {
        match groups.last_mut() {
            Some(group) if group.to == to && group.strings.last().is_some_and(|last| last.is_beside(string)) => {
                group.strings.push(string);
            }
            _ => groups.push(Group { strings: vec![string], to }),
        }
    }
    groups
}

/// Where the left hand comes from before the resets, and where it goes after them.
struct LeftHand {
    /// What it does last in the chunk, from the chunk's start; none where it has nothing to do there at all.
    busy_until: Option<ScoreTime>,
    /// The string it has plucked last; none where it is at the levers already or the string is unknown.
    from: Option<StringNumber>,
    /// Whether a flip, not a pluck, is what it does last.
    at_levers: bool,
    /// The string it plucks first in the next pass.
    to: Option<StringNumber>,
}

/// The time each gesture needs before it, and the time the hand needs after the last one.
struct Needs {
    before: Vec<Seconds>,
    back: Seconds,
}

impl Needs {
    fn after(&self, index: usize) -> Seconds {
        self.before.get(index + 1).copied().unwrap_or(self.back)
    }
}

impl LeftHand {
    fn of(chunk: &Chunk, request: &ChunkRequest<'_>) -> LeftHand {
        let plucks = request.performance.plucks().iter().enumerate();
        let left: Vec<_> = plucks.filter(|(_, pluck)| pluck.hand == Hand::Left && chunk.contains(pluck.at)).collect();
        let string_of = |pluck: usize| request.plan.strings.get(pluck).copied().flatten().map(|(string, _)| string);
        let gestures = &request.plan.gestures[chunk.gestures.clone()];
        let last_flip = gestures.iter().rev().find(|gesture| gesture.hand == Hand::Left).map(|gesture| gesture.at);
        let last_pluck = left.last().map(|(_, pluck)| pluck.at);
        let at_levers = last_flip.is_some() && last_flip >= last_pluck;
        LeftHand {
            busy_until: last_flip.max(last_pluck).map(|at| ScoreTime::from_start(at - chunk.starts)),
            from: left.last().filter(|_| !at_levers).and_then(|&(index, _)| string_of(index)),
            at_levers,
            to: left.first().and_then(|&(index, _)| string_of(index)),
        }
    }

    fn needs(&self, groups: &[Group], request: &ChunkRequest<'_>) -> Needs {
        let pace = request.pace;
        let further = |group: &Group| pace.further_lever() * (group.strings.len() - 1) as f64;
        let reach = |from: Option<StringNumber>, group: &Group| reach(from, group.strings[0], request);
        let mut before = Vec::with_capacity(groups.len());
        for (index, group) in groups.iter().enumerate() {
            let travel =
                if index > 0 || self.at_levers { pace.lever_to_lever() } else { pace.out(reach(self.from, group)) };
            before.push(travel + further(group));
        }
        let back = groups.last().map_or(Seconds::ZERO, |group| pace.back(reach(self.to, group)));
        Needs { before, back }
    }
}

/// From a string's plucking place to a lever; from the lever's own string where none is known.
fn reach(from: Option<StringNumber>, lever: StringNumber, request: &ChunkRequest<'_>) -> Millimetres {
    let place = |string| request.harp.string(string).map(|string| string.place);
    match (place(from.unwrap_or(lever)), place(lever)) {
        (Some(from), Some(lever)) => from.distance_to_lever_of(&lever),
        // A plan of another harp: no reach is known.
        _ => Millimetres::default(),
    }
}

/// How the levers are brought back.
struct Reset<'a> {
    chunk: &'a Chunk,
    request: &'a ChunkRequest<'a>,
    groups: Vec<Group>,
    hand: LeftHand,
    needs: Needs,
}

impl Reset<'_> {
    /// When a place after the closing bar line comes, in seconds from the chunk's start.
    fn seconds_at(&self, after_close: Ticks) -> Seconds {
        self.chunk.tempo.seconds_at(ScoreTime::from_start(self.chunk.music_length() + after_close))
    }

    /// Until when the left hand is busy in the chunk.
    fn busy_until(&self) -> Option<Seconds> {
        self.hand.busy_until.map(|at| self.chunk.tempo.seconds_at(at))
    }

    /// Each gesture on the first beat by which the hand can have made it, counted from the closing bar line; none where
    /// the seam is too short.
    fn places_on_beats(&self, bars: &[SeamBar]) -> Option<Vec<Ticks>> {
        let mut starts = Ticks::ZERO;
        let mut beats = Vec::new();
        for bar in bars {
            let clicks = clicks(&bar.meter, bar.anacrusis, bar.length, TimelineOptions::default());
            beats.extend(clicks.into_iter().map(|(at, _)| starts + at));
            starts += bar.length;
        }
        let mut beats = beats.into_iter();
        let mut free_from = self.busy_until();
        let mut places = Vec::with_capacity(self.groups.len());
        for &need in &self.needs.before {
            let in_time = |beat: Ticks| free_from.is_none_or(|free| enough(self.seconds_at(beat) - free, need));
            let place = beats.find(|&beat| in_time(beat))?;
            free_from = Some(self.seconds_at(place));
            places.push(place);
        }
        match places.last() {
            Some(&last) => enough(self.seconds_at(starts) - self.seconds_at(last), self.needs.back).then_some(places),
            None => Some(places),
        }
    }

    fn gestures(&self, places: &[Ticks], seam: Ticks) -> Vec<Gesture> {
        places
            .iter()
            .zip(&self.groups)
            .enumerate()
            .map(|(i, (&at, group))| self.gesture(i, at, group, places, seam))
            .collect()
    }

    fn gesture(&self, index: usize, at: Ticks, group: &Group, places: &[Ticks], seam: Ticks) -> Gesture {
        let here = self.seconds_at(at);
        let earlier = match index.checked_sub(1) {
            Some(previous) => Some(self.seconds_at(places[previous])),
            None => self.busy_until(),
        };
        let later = self.seconds_at(places.get(index + 1).copied().unwrap_or(seam));
        let (before, after) = (self.needs.before[index], self.needs.after(index));
        let share_before = earlier.map_or(f64::INFINITY, |earlier| (here - earlier).get() / before.get());
        let share = share_before.min((later - here).get() / after.get());
        let tempo = self.chunk.tempo.tempo_at(ScoreTime::from_start(self.chunk.music_length()));
        Gesture {
            at: ScoreTime::from_start(at),
            played_bar: self.chunk.last,
            hand: Hand::Left,
            flips: group.strings.iter().filter_map(|&string| self.flip(string, group.to, seam)).collect(),
            needed: before + after,
            available: Some((before + after) * share),
            top_tempo: Some(TopTempo { quarters_per_minute: tempo.quarters_per_minute() * share }),
            comfort: 0,
            locked: false,
        }
    }

    fn flip(&self, string: StringNumber, to: LeverState, seam: Ticks) -> Option<Flip> {
        let (chunk, request) = (self.chunk, self.request);
        let played_on = |index: usize| request.plan.strings.get(index).copied().flatten().map(|(string, _)| string);
        let plucks = request.performance.plucks().iter().enumerate();
        let mut times = plucks
            .filter(|&(index, pluck)| chunk.contains(pluck.at) && played_on(index) == Some(string))
            .map(|(_, pluck)| pluck.at);
        let first = times.next();
        let last = times.next_back().or(first);
        let next_pass = ScoreTime::from_start(seam);
        Some(Flip {
            string,
            to,
            sounds: request.harp.string(string)?.sounds(to),
            window: Window {
                after: last.map(|at| ScoreTime::from_start(at - chunk.ends)),
                before: first.map_or(next_pass, |at| next_pass + (at - chunk.starts)),
            },
        })
    }
}

/// A nanosecond is given away, so that a time that is just right in exact arithmetic counts as enough.
fn enough(available: Seconds, needed: Seconds) -> bool {
    available.get() >= needed.get() - 1e-9
}
