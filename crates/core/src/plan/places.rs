//! Every moment of the piece at which a flip may be made.

use crate::meter::{Strength, divisions_used, flip_places, strength};
use crate::score::{Performance, PlayedBar};
use crate::time::{ScoreTime, Seconds, TempoMap, Ticks};

/// One moment for a flip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Place {
    pub at: ScoreTime,
    pub seconds: Seconds,
    pub strength: Strength,
    pub played_bar: usize,
}

/// The grid of the whole piece, in order of time.
pub(super) struct Places<'a> {
    grid: Vec<Place>,
    performance: &'a Performance,
    tempo: &'a TempoMap,
}

impl<'a> Places<'a> {
    pub fn new(performance: &'a Performance, tempo: &'a TempoMap) -> Places<'a> {
        let mut grid = Vec::new();
        let mut plucks = performance.plucks();
        for (index, bar) in performance.bars().iter().enumerate() {
            let inside = plucks.iter().take_while(|pluck| pluck.at < bar.ends()).count();
            let (here, later) = plucks.split_at(inside);
            plucks = later;
            let onsets = here.iter().map(|pluck| pluck.at - bar.starts + bar.anacrusis);
            let used = divisions_used(onsets, &bar.meter);
            for offset in flip_places(&bar.meter, bar.anacrusis, bar.length, used) {
                grid.push(place(bar.starts + offset, index, bar, tempo));
            }
        }
        Places { grid, performance, tempo }
    }

    /// The places strictly between two moments, the later first. Where the grid has none there, the one midpoint, so
    /// that even the fastest passage has a place to name; none where not even a tick lies between.
    pub fn between(&self, after: Option<ScoreTime>, before: ScoreTime) -> Candidates<'_> {
        let from = after.map_or(0, |after| self.grid.partition_point(|place| place.at <= after));
        let to = self.grid.partition_point(|place| place.at < before);
        if from < to {
            return Candidates::Grid(&self.grid[from..to]);
        }
        let after = after.unwrap_or(ScoreTime::START);
        let half = Ticks::new((before - after).get() / 2);
        if half.get() <= 0 { Candidates::None } else { Candidates::Only(self.at(after + half)) }
    }

    /// The place at a moment, on the grid or off it.
    pub fn at(&self, at: ScoreTime) -> Place {
        let index = self.performance.bar_at(at);
        match self.performance.bars().get(index) {
            Some(bar) => place(at, index, bar, self.tempo),
            None => Place { at, seconds: self.tempo.seconds_at(at), strength: Strength::Between, played_bar: 0 },
        }
    }
}

fn place(at: ScoreTime, played_bar: usize, bar: &PlayedBar, tempo: &TempoMap) -> Place {
    let strength = strength(at - bar.starts + bar.anacrusis, &bar.meter);
    Place { at, seconds: tempo.seconds_at(at), strength, played_bar }
}

/// The candidate places of one flip.
pub(super) enum Candidates<'a> {
    /// Places of the grid, in order of time.
    Grid(&'a [Place]),
    /// One moment: the midpoint of a window that the grid leaves empty, or the player's wish.
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
