//! Every moment of the piece at which a flip may be made.
//!
//! These are the places of [`flip_places`] in every bar; and wherever two plucks, of whichever hands, follow each other
//! with no such place strictly between them, the midpoint of the two. So there is always a moment at which no hand
//! plucks, be the music as dense as it may: in plain quarter notes for both hands the half beats, in a run of
//! sixteenths the 32nds.

use super::hand_track::HandTracks;
use crate::meter::{Strength, divisions_used, flip_places, strength};
use crate::score::{Hand, Performance, PlayedBar};
use crate::time::{ScoreTime, Seconds, TempoMap, Ticks};

/// One moment for a flip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Place {
    pub at: ScoreTime,
    pub seconds: Seconds,
    pub strength: Strength,
    pub played_bar: usize,
    /// For each hand, how many of its plucks have gone by, those of this very moment included.
    pub next_stop: [usize; 2],
}

impl Place {
    /// Whether a hand plucks after `earlier` and no later than here.
    pub fn plucks_since(&self, earlier: &Place, hand: Hand) -> bool {
        self.next_stop[hand as usize] > earlier.next_stop[hand as usize]
    }
}

/// The grid of the whole piece, in order of time.
pub(super) struct Places<'a> {
    grid: Vec<Place>,
    performance: &'a Performance,
    tempo: &'a TempoMap,
}

impl<'a> Places<'a> {
    pub fn new(performance: &'a Performance, tempo: &'a TempoMap, tracks: &HandTracks<'_>) -> Places<'a> {
        let mut grid = Vec::new();
        let mut plucks = performance.plucks();
        for (index, bar) in performance.bars().iter().enumerate() {
            let inside = plucks.iter().take_while(|pluck| pluck.at < bar.ends()).count();
            let (here, later) = plucks.split_at(inside);
            plucks = later;
            let onsets = here.iter().map(|pluck| pluck.at - bar.starts + bar.anacrusis);
            let used = divisions_used(onsets, &bar.meter);
            for offset in flip_places(&bar.meter, bar.anacrusis, bar.length, used) {
                grid.push(place(bar.starts + offset, index, bar, tempo, tracks));
            }
        }
        let between =
            midpoints(performance, &grid).map(|at| place_at(at, performance, tempo, tracks)).collect::<Vec<_>>();
        grid.extend(between);
        grid.sort_by_key(|place| place.at);
        Places { grid, performance, tempo }
    }

    /// The places strictly between two moments; before the first pluck, where there may be none, the midpoint.
    pub fn between(&self, after: Option<ScoreTime>, before: ScoreTime, tracks: &HandTracks<'_>) -> Candidates<'_> {
        let from = after.map_or(0, |after| self.grid.partition_point(|place| place.at <= after));
        let to = self.grid.partition_point(|place| place.at < before);
        if from < to {
            return Candidates::Grid(&self.grid[from..to]);
        }
        let after = after.unwrap_or(ScoreTime::START);
        let half = Ticks::new((before - after).get() / 2);
        if half.get() <= 0 { Candidates::None } else { Candidates::Only(self.at(after + half, tracks)) }
    }

    /// The place at a moment, on the grid or off it.
    pub fn at(&self, at: ScoreTime, tracks: &HandTracks<'_>) -> Place {
        place_at(at, self.performance, self.tempo, tracks)
    }
}

/// Half-way between plucks that follow each other with no place of the grid between them.
fn midpoints(performance: &Performance, grid: &[Place]) -> impl Iterator<Item = ScoreTime> {
    performance.plucks().windows(2).filter_map(|pair| {
        let (from, to) = (pair[0].at, pair[1].at);
        let next = grid.partition_point(|place| place.at <= from);
        let is_empty = grid.get(next).is_none_or(|place| place.at >= to);
        let half = Ticks::new((to - from).get() / 2);
        (is_empty && half > Ticks::ZERO).then(|| from + half)
    })
}

fn place_at(at: ScoreTime, performance: &Performance, tempo: &TempoMap, tracks: &HandTracks<'_>) -> Place {
    let index = performance.bar_at(at);
    match performance.bars().get(index) {
        Some(bar) => place(at, index, bar, tempo, tracks),
        None => Place {
            at,
            seconds: tempo.seconds_at(at),
            strength: Strength::Between,
            played_bar: 0,
            next_stop: tracks.stops_until(at),
        },
    }
}

fn place(at: ScoreTime, played_bar: usize, bar: &PlayedBar, tempo: &TempoMap, tracks: &HandTracks<'_>) -> Place {
    let strength = strength(at - bar.starts + bar.anacrusis, &bar.meter);
    Place { at, seconds: tempo.seconds_at(at), strength, played_bar, next_stop: tracks.stops_until(at) }
}

/// The candidate places of one flip.
pub(super) enum Candidates<'a> {
    /// Places of the grid, in order of time.
    Grid(&'a [Place]),
    /// One moment: half-way to the first pluck, or the player's wish.
    Only(Place),
    /// No moment at all.
    None,
}

impl Candidates<'_> {
    /// The places, those nearest the need first.
    pub fn latest_first(&self) -> impl Iterator<Item = &Place> {
        let places: &[Place] = match self {
            Candidates::Grid(places) => places,
            Candidates::Only(place) => std::slice::from_ref(place),
            Candidates::None => &[],
        };
        places.iter().rev()
    }

    pub fn is_empty(&self) -> bool {
        matches!(self, Candidates::None)
    }
}
