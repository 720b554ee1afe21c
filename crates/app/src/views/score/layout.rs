//! Where the systems and what is under them stand, in points.

use std::ops::Range;

use eframe::egui::{Painter, Pos2, Rect, Vec2, pos2, vec2};
use leverlane_engraving::{Drawing, Span};

use super::model::{FlipPlace, ScoreModel};
use crate::widgets::flip_mark_size;

/// Points to a staff space in the Piece: a staff is four of them high.
pub const SPACE: f32 = 9.0;
/// From one system to the next.
const GAP: f32 = 16.0;
/// From one flip's mark to the next where they would touch.
const BETWEEN_MARKS: f32 = 4.0;

/// How large notation and the strip under it are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sizes {
    /// Points to a staff space.
    pub space: f32,
    /// How high the strip under a system is: beats, their numbers and a row of flips.
    pub strip: f32,
    /// How high the beats with their numbers are.
    pub beats: f32,
    /// The type size of the numbers.
    pub numbers: f32,
    /// The type size of flip marks.
    pub mark: f32,
}

/// Many systems, to look through.
const OF_PIECE: Sizes = Sizes { space: SPACE, strip: 58.0, beats: 22.0, numbers: 13.0, mark: 17.0 };
/// A few bars, to play from.
const OF_LOOP: Sizes = Sizes { space: SPACE, strip: 72.0, beats: 30.0, numbers: 19.0, mark: 22.0 };
/// Larger notes are no easier to read.
const LARGEST_SPACE: f32 = 15.0;
/// Smaller ones can't be read from the harp.
pub const LEAST_SPACE: f32 = 6.0;
/// How many staff spaces two staves with their marks usually take; the true height is known once they are drawn.
const USUAL_HEIGHT: f32 = 24.0;

/// How many staff spaces a system has room for in a width; whole ones, so that a window that is dragged wider doesn't
/// have everything drawn anew at every pixel.
pub fn spaces_across(width: f32) -> u32 {
    whole_spaces(width, SPACE)
}

fn whole_spaces(width: f32, space: f32) -> u32 {
    ((width - 12.0) / space).floor().clamp(30.0, 400.0) as u32
}

/// How many staff spaces a system of a long loop gets in a room: as large as one system can be there.
pub fn spaces_of_loop(room: Vec2) -> u32 {
    whole_spaces(room.x, largest_space(room))
}

/// Whether music of about so many staff spaces can be read on one system in a room.
pub fn fits_one_system(room: Vec2, spaces: f32) -> bool {
    room.x / spaces >= LEAST_SPACE + 0.5
}

fn largest_space(room: Vec2) -> f32 {
    ((room.y - OF_LOOP.strip) / USUAL_HEIGHT).clamp(LEAST_SPACE, LARGEST_SPACE)
}

/// The systems one under the other, from the score's upper left corner.
pub struct Layout {
    sizes: Sizes,
    systems: Vec<Rect>,
}

impl Layout {
    /// The places of a drawing's systems in the Piece.
    pub fn of_piece(drawing: &Drawing) -> Layout {
        Layout::sized(drawing, 0.0, OF_PIECE)
    }

    /// The same in the Drill, as large as the room allows; `seam` staff spaces stand behind the last system.
    pub fn of_loop(drawing: &Drawing, seam: f32, room: Vec2) -> Layout {
        let last = drawing.systems.last().map_or(0.0, |last| last.width + seam);
        let widest = drawing.systems.iter().map(|system| system.width).fold(last, f32::max).max(1.0);
        let highest = drawing.systems.iter().map(|system| system.height).fold(1.0, f32::max);
        let space = (room.x / widest).min((room.y - OF_LOOP.strip) / highest);
        Layout::sized(drawing, seam, Sizes { space: space.clamp(LEAST_SPACE / 2.0, LARGEST_SPACE), ..OF_LOOP })
    }

    fn sized(drawing: &Drawing, seam: f32, sizes: Sizes) -> Layout {
        let mut top = 0.0;
        let count = drawing.systems.len();
        let systems = drawing
            .systems
            .iter()
            .enumerate()
            .map(|(index, system)| {
                let width = if index + 1 == count { system.width + seam } else { system.width };
                let size = vec2(width * sizes.space, system.height * sizes.space + sizes.strip);
                let place = Rect::from_min_size(pos2(0.0, top), size);
                top = place.bottom() + GAP;
                place
            })
            .collect();
        Layout { sizes, systems }
    }

    /// How large everything is.
    pub fn sizes(&self) -> &Sizes {
        &self.sizes
    }

    /// How high all of them are.
    pub fn height(&self) -> f32 {
        self.systems.last().map_or(0.0, |last| last.bottom())
    }

    /// How wide the widest is.
    pub fn width(&self) -> f32 {
        self.systems.iter().map(|place| place.width()).fold(0.0, f32::max)
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

    /// The system at a height, or the nearest one.
    pub fn nearest_system(&self, y: f32) -> usize {
        let above = self.systems.partition_point(|place| place.bottom() + GAP / 2.0 < y);
        above.min(self.systems.len().saturating_sub(1))
    }

    /// Where a place of a system, in staff spaces from its left, stands.
    pub fn x(&self, place: Rect, spaces: f32) -> f32 {
        place.left() + spaces * self.sizes.space
    }

    /// Where a box of a system, in staff spaces, stands.
    pub fn boxed(&self, place: Rect, across: Span, down: Span) -> Rect {
        let corner = |x: f32, y: f32| Pos2::new(self.x(place, x), place.top() + y * self.sizes.space);
        Rect::from_min_max(corner(across.from, down.from), corner(across.to, down.to))
    }

    /// The notation of a system, without its strip.
    pub fn notation(&self, place: Rect) -> Rect {
        Rect::from_min_max(place.min, pos2(place.right(), place.bottom() - self.sizes.strip))
    }

    /// The strip under a system.
    pub fn strip(&self, place: Rect) -> Rect {
        Rect::from_min_max(pos2(place.left(), place.bottom() - self.sizes.strip), place.max)
    }

    /// The flips of a system and where their marks stand: the left edge on the beat, farther right where the mark before
    /// it needs the room, but never past the system's end.
    pub fn flip_rects<'m>(
        &self,
        painter: &Painter,
        place: Rect,
        model: &'m ScoreModel,
        system: usize,
    ) -> Vec<(&'m FlipPlace, Rect)> {
        let top = self.strip(place).top() + self.sizes.beats + 4.0;
        let flips = model.systems.get(system).map_or(&[][..], |system| &system.flips);
        let mut free_from = f32::NEG_INFINITY;
        flips
            .iter()
            .map(|flip| {
                let size = flip_mark_size(painter, &flip.mark, self.sizes.mark);
                let left = self.x(place, flip.x).max(free_from).min(place.right() - size.x);
                free_from = left + size.x + BETWEEN_MARKS;
                (flip, Rect::from_min_size(pos2(left, top), size))
            })
            .collect()
    }
}
