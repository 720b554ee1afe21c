//! Where the systems and what is under them stand, in points.

use std::ops::Range;

use eframe::egui::{Painter, Rect, pos2, vec2};
use leverlane_engraving::Drawing;

use super::model::{FlipPlace, ScoreModel};
use crate::widgets::flip_mark_size;

/// Points to a staff space: a staff is four of them high.
pub const SPACE: f32 = 9.0;
/// The strip under a system: beats, their numbers and a row of flips.
pub const STRIP: f32 = 58.0;
/// From one system to the next.
const GAP: f32 = 16.0;
/// The type size of flip marks.
pub const MARK_SIZE: f32 = 17.0;
/// How high the beats with their numbers are.
pub const BEATS: f32 = 22.0;

/// How many staff spaces a system has room for in a width; whole ones, so that a window that is dragged wider doesn't
/// have everything drawn anew at every pixel.
pub fn spaces_across(width: f32) -> u32 {
    ((width - 12.0) / SPACE).floor().clamp(30.0, 400.0) as u32
}

/// The systems one under the other, from the score's upper left corner.
pub struct Layout {
    systems: Vec<Rect>,
}

impl Layout {
    /// The places of a drawing's systems.
    pub fn new(drawing: &Drawing) -> Layout {
        let mut top = 0.0;
        let systems = drawing
            .systems
            .iter()
            .map(|system| {
                let size = vec2(system.width * SPACE, system.height * SPACE + STRIP);
                let place = Rect::from_min_size(pos2(0.0, top), size);
                top = place.bottom() + GAP;
                place
            })
            .collect();
        Layout { systems }
    }

    /// How high all of them are.
    pub fn height(&self) -> f32 {
        self.systems.last().map_or(0.0, |last| last.bottom() + GAP)
    }

    /// A system with its strip.
    pub fn system(&self, index: usize) -> Rect {
        self.systems.get(index).copied().unwrap_or(Rect::ZERO)
    }

    /// The systems that a part of the score shows.
    pub fn in_sight(&self, seen: Rect) -> Range<usize> {
        let first = self.systems.partition_point(|place| place.bottom() < seen.top());
        let end = self.systems.partition_point(|place| place.top() <= seen.bottom());
        first..end.max(first)
    }

    /// Where a place of a system, in staff spaces from its left, stands.
    pub fn x(place: Rect, spaces: f32) -> f32 {
        place.left() + spaces * SPACE
    }

    /// The strip under a system.
    pub fn strip(place: Rect) -> Rect {
        Rect::from_min_max(pos2(place.left(), place.bottom() - STRIP), place.max)
    }

    /// The flips of a system and where their marks stand: the left edge on the beat, but never past the system's end.
    pub fn flip_rects<'m>(
        &self,
        painter: &Painter,
        place: Rect,
        model: &'m ScoreModel,
        system: usize,
    ) -> Vec<(&'m FlipPlace, Rect)> {
        let top = Layout::strip(place).top() + BEATS + 4.0;
        let flips = model.systems.get(system).map_or(&[][..], |system| &system.flips);
        flips
            .iter()
            .map(|flip| {
                let size = flip_mark_size(painter, &flip.mark, MARK_SIZE);
                let left = Layout::x(place, flip.x).min(place.right() - size.x);
                (flip, Rect::from_min_size(pos2(left, top), size))
            })
            .collect()
    }
}
