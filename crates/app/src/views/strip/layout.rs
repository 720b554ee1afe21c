//! Where things stand on the strip.

use eframe::egui::{Painter, Rect, pos2};
use leverlane_core::harp::LeverState;
use leverlane_core::time::Ticks;

use super::model::StripModel;
use crate::widgets::flip_mark_size;

/// How wide a quarter note is.
pub const QUARTER_WIDTH: f32 = 92.0;
/// The type size of flip marks.
pub const MARK_SIZE: f32 = 22.0;

/// Wider than any mark of a few levers.
const WIDEST_MARK: f32 = 400.0;
const GUTTER: f32 = 46.0;
/// The height of a row of marks.
const MARK_ROW: f32 = 44.0;
const CLICKS: f32 = 74.0;
/// How far to the right of the gutter the present moment stands, as a share of the width.
const PRESENT: f32 = 0.14;
/// Rows of marks, so that flips close to each other don't cover each other.
const ROWS: usize = 2;

/// Which passes there are beside the one that is under way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rounds {
    /// None: the music is shown once.
    Once,
    /// Those that follow; before lies nothing but the count-in.
    After,
    /// Those before and those that follow.
    BeforeAndAfter,
}

/// The strip's geometry at one moment.
pub struct Layout {
    /// All of it.
    pub whole: Rect,
    /// Where the marks are.
    pub flips: Rect,
    /// Where the strings are.
    pub strings: Rect,
    /// Where the clicks are.
    pub clicks: Rect,
    /// Where the present moment stands.
    pub present: f32,
    /// Where the line of the present moment stands.
    pub line: f32,
    now: Ticks,
    around: Rounds,
    lane_step: f32,
    rows: usize,
}

impl Layout {
    /// The geometry of a strip in a rectangle, `now` in its pass.
    pub fn new(whole: Rect, model: &StripModel, now: Ticks, around: Rounds) -> Layout {
        let left = whole.left() + GUTTER;
        let rows = if model.has_close_flips() { ROWS } else { 1 };
        let flips = Rect::from_min_max(
            pos2(left, whole.top()),
            pos2(whole.right(), whole.top() + 8.0 + MARK_ROW * rows as f32),
        );
        let clicks = Rect::from_min_max(pos2(left, whole.bottom() - CLICKS), whole.max);
        let strings = Rect::from_min_max(pos2(left, flips.bottom() + 8.0), pos2(whole.right(), clicks.top() - 8.0));
        let lane_step = strings.height() / model.lanes.len().max(1) as f32;
        let present = left + (whole.right() - left) * PRESENT;
        Layout { rows, whole, flips, strings, clicks, present, line: present, now, around, lane_step }
    }

    /// Where a moment of the pass stands, so many rounds later.
    pub fn x(&self, at: Ticks, length: Ticks, round: i64) -> f32 {
        let from_now = at + length * round - self.now;
        self.present + from_now.quarters() as f32 * QUARTER_WIDTH
    }

    /// The same strip with the line of the present moment elsewhere than at its usual place.
    pub fn with_line_at(mut self, at: Ticks, length: Ticks) -> Layout {
        self.line = self.x(at, length, 0);
        self
    }

    /// How much music there is room for to the right of the present moment, in whole quarter notes.
    pub fn ticks_to_the_right(&self) -> Ticks {
        let quarters = ((self.whole.right() - self.present) / QUARTER_WIDTH).floor().max(1.0);
        Ticks::QUARTER * (quarters as i64)
    }

    /// The rounds in sight: the present one, those that follow, and the one before unless nothing came before.
    pub fn rounds(&self, length: Ticks) -> std::ops::RangeInclusive<i64> {
        let width = (length.quarters() as f32 * QUARTER_WIDTH).max(1.0);
        let behind = match self.around {
            Rounds::Once => return 0..=0,
            Rounds::After => 0,
            Rounds::BeforeAndAfter => -1,
        };
        let ahead = ((self.whole.right() - self.x(Ticks::ZERO, length, 0)) / width).floor().clamp(0.0, 50.0);
        behind..=(ahead as i64)
    }

    /// Whether something that wide at a place can be seen.
    pub fn sees(&self, from: f32, to: f32) -> bool {
        to >= self.strings.left() && from <= self.strings.right()
    }

    /// The height of a string with its lever down.
    pub fn lane(&self, lane: usize) -> f32 {
        self.strings.top() + self.lane_step * (lane as f32 + 0.5)
    }

    /// How far a raised lever lifts its string's line.
    pub fn lift(&self) -> f32 {
        (self.lane_step * 0.46).clamp(2.0, 9.0)
    }

    /// The height of a string in a lever state.
    pub fn height(&self, lane: usize, state: LeverState) -> f32 {
        match state {
            LeverState::Down => self.lane(lane),
            LeverState::Up => self.lane(lane) - self.lift(),
        }
    }

    /// How large a pluck is.
    pub fn dot(&self) -> f32 {
        (self.lane_step * 0.42).clamp(3.5, 7.5)
    }

    /// How far the strings are apart.
    pub fn lane_step(&self) -> f32 {
        self.lane_step
    }

    /// Where the marks in sight stand: the round, the flip's place in the model, and the rectangle. A mark that would
    /// cover the one before it goes to the other row.
    pub fn flip_rects(&self, painter: &Painter, model: &StripModel) -> Vec<(i64, usize, Rect)> {
        let mut ends = [f32::NEG_INFINITY; ROWS];
        let mut placed = Vec::new();
        for round in self.rounds(model.length) {
            for (index, flip) in model.flips.iter().enumerate() {
                let x = self.x(flip.at, model.length, round);
                if !self.sees(x, x + WIDEST_MARK) {
                    continue;
                }
                let size = flip_mark_size(painter, &flip.mark, MARK_SIZE);
                let row = (0..self.rows)
                    .find(|&row| ends[row] + 4.0 <= x)
                    .unwrap_or_else(|| usize::from(self.rows > 1 && ends[1] < ends[0]));
                ends[row] = x + size.x;
                // The lower row is nearer to the strings and is taken first.
                let y = self.flips.bottom() - size.y - 2.0 - row as f32 * MARK_ROW;
                let rect = Rect::from_min_size(pos2(x, y), size);
                if self.sees(rect.left(), rect.right()) {
                    placed.push((round, index, rect.intersect(self.flips)));
                }
            }
        }
        placed
    }
}

#[cfg(test)]
mod tests;
