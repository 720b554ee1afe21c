//! The whole piece in shares of its length, derived once for each plan and loop.

use leverlane_core::harp::LeverState;
use leverlane_core::time::{ScoreTime, Ticks};

use crate::state::{Loop, Piece, Planned};
use crate::words::Words;

/// The line's contents; places are shares of the piece's length, from 0 to 1.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WholeModel {
    /// Bar lines.
    pub bars: Vec<f32>,
    /// The plan's gestures, in its order.
    pub flips: Vec<FlipShare>,
    /// Where the looped bars begin and end.
    pub looped: Option<(f32, f32)>,
    /// The first and the last bar's printed number.
    pub ends: [String; 2],
    /// For the ear.
    pub summary: String,
    length: Ticks,
    loop_starts: Ticks,
    loop_length: Ticks,
}

/// A flip on the line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlipShare {
    /// Where.
    pub share: f32,
    /// Where its first lever goes.
    pub to: LeverState,
}

impl WholeModel {
    /// The line of a piece, its plan and what is looped of it.
    pub fn new(words: Words, piece: &Piece, planned: &Planned, looped: Option<&Loop>) -> WholeModel {
        let performance = &piece.performance;
        let length = performance.end() - ScoreTime::START;
        let share = |at: ScoreTime| share(at.since_start(), length);
        let last = performance.bars().len().saturating_sub(1);
        let number = |bar: usize| words.with("bar-numbered", [("bar", piece.bar_number(bar).to_owned().into())]);
        let flips = planned.plan.gestures.iter().map(|gesture| FlipShare {
            share: share(gesture.at),
            to: gesture.flips.first().map_or(LeverState::Up, |flip| flip.to),
        });
        let bars = performance.bars().len();
        let summary = match looped {
            None => words.with("whole-spoken", [("bars", bars.into())]),
            Some(looped) => {
                let (from, to) = (number(looped.chunk.first), number(looped.chunk.last));
                let gaps = [("bars", bars.into()), ("from", from.into()), ("to", to.into())];
                words.with("whole-looped-spoken", gaps)
            }
        };
        WholeModel {
            bars: performance.bars().iter().map(|bar| share(bar.starts)).collect(),
            flips: flips.collect(),
            looped: looped.map(|looped| (share(looped.chunk.starts), share(looped.chunk.ends))),
            ends: [number(0), number(last)],
            summary,
            length,
            loop_starts: looped.map_or(Ticks::ZERO, |looped| looped.chunk.starts.since_start()),
            loop_length: looped.map_or(Ticks::ZERO, |looped| looped.chunk.music_length()),
        }
    }

    /// The flip nearest to a place, by its place in the plan.
    pub fn nearest_flip(&self, place: f32) -> Option<usize> {
        let distance = |index: &usize| (self.flips[*index].share - place).abs();
        (0..self.flips.len()).min_by(|a, b| distance(a).total_cmp(&distance(b)))
    }

    /// The bar at a place, by its place in playing order.
    pub fn bar_at(&self, place: f32) -> usize {
        self.bars.partition_point(|&starts| starts <= place).saturating_sub(1)
    }

    /// Where bars begin and end.
    pub fn share_of_bars(&self, first: usize, last: usize) -> (f32, f32) {
        let starts = |bar: usize| self.bars.get(bar).copied().unwrap_or(1.0);
        (starts(first), starts(last + 1))
    }

    /// Where a moment of the looped music stands; none in the count-in and at the seam.
    pub fn share_of(&self, at: Ticks) -> Option<f32> {
        (at >= Ticks::ZERO && at < self.loop_length).then(|| share(self.loop_starts + at, self.length))
    }
}

fn share(at: Ticks, length: Ticks) -> f32 {
    (at.quarters() / length.quarters().max(f64::MIN_POSITIVE)) as f32
}
