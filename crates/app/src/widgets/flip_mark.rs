//! The mark of a flip: letter and sign, the way the lever goes, and the hand.
//!
//! The hand shows twice: as a letter, and by the side on which the mark is pointed.

use eframe::egui::{Align2, Color32, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, Vec2, pos2};
use leverlane_core::plan::Gesture;
use leverlane_core::score::Hand;

use crate::names;
use crate::theme::{self, Palette};

/// What a mark shows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FlipMark {
    /// Letter, sign and arrow of every lever moved: `F♯↑ G♯↑`.
    pub text: String,
    /// The hand.
    pub hand: Hand,
    /// Whether the hand has too little time.
    pub is_rushed: bool,
}

impl FlipMark {
    /// The mark of a gesture.
    pub fn of(gesture: &Gesture) -> FlipMark {
        let text = gesture
            .flips
            .iter()
            .map(|flip| format!("{}{}", names::letter_and_sign(flip.sounds), names::arrow(flip.to)))
            .collect::<Vec<_>>()
            .join(" ");
        FlipMark { text, hand: gesture.hand, is_rushed: gesture.is_rushed() }
    }
}

/// How a mark stands among the others.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MarkState {
    /// The one that comes next or is selected: filled.
    Foremost,
    /// Any other: outlined.
    Ordinary,
}

const SIDE: f32 = 20.0;

/// How large a mark is at a type size.
pub fn flip_mark_size(painter: &Painter, mark: &FlipMark, size: f32) -> Vec2 {
    let galley = painter.layout_no_wrap(label(mark), theme::display(size), Color32::WHITE);
    Vec2::new(galley.size().x + SIDE + size * 0.9, size * 1.5)
}

fn label(mark: &FlipMark) -> String {
    if mark.is_rushed { format!("! {}", mark.text) } else { mark.text.clone() }
}

/// Draws a mark so that its flat side's middle stands at `at` (the flip beat): left-hand marks lie to the right of their
/// point, and so do right-hand ones, so that nothing covers what has been.
pub fn paint_flip_mark(
    painter: &Painter,
    palette: &Palette,
    at: Pos2,
    mark: &FlipMark,
    size: f32,
    state: MarkState,
) -> Rect {
    let extent = flip_mark_size(painter, mark, size);
    let rect = Rect::from_min_size(pos2(at.x, at.y - extent.y / 2.0), extent);
    let point = extent.y * 0.32;
    let outline = match mark.hand {
        Hand::Left => vec![
            rect.left_center(),
            pos2(rect.left() + point, rect.top()),
            rect.right_top(),
            rect.right_bottom(),
            pos2(rect.left() + point, rect.bottom()),
        ],
        Hand::Right => vec![
            rect.left_top(),
            pos2(rect.right() - point, rect.top()),
            rect.right_center(),
            pos2(rect.right() - point, rect.bottom()),
            rect.left_bottom(),
        ],
    };
    let edge = if mark.is_rushed { palette.alarm } else { palette.flip };
    let (fill, ink) = match state {
        MarkState::Foremost => (palette.flip, palette.on_flip),
        MarkState::Ordinary => (palette.card, palette.flip),
    };
    painter.add(Shape::convex_polygon(outline, fill, Stroke::new(2.0, edge)));
    let hand = match mark.hand {
        Hand::Left => "L",
        Hand::Right => "R",
    };
    let middle = rect.center().y;
    match mark.hand {
        Hand::Left => {
            let end = painter.text(
                pos2(rect.left() + point + 3.0, middle),
                Align2::LEFT_CENTER,
                hand,
                theme::text(size * 0.7),
                ink,
            );
            painter.text(pos2(end.right() + 5.0, middle), Align2::LEFT_CENTER, label(mark), theme::display(size), ink);
        }
        Hand::Right => {
            let end = painter.text(
                pos2(rect.left() + 7.0, middle),
                Align2::LEFT_CENTER,
                label(mark),
                theme::display(size),
                ink,
            );
            painter.text(pos2(end.right() + 5.0, middle), Align2::LEFT_CENTER, hand, theme::text(size * 0.7), ink);
        }
    }
    if mark.is_rushed {
        painter.rect_stroke(rect.expand(3.0), theme::ROUND, Stroke::new(1.5, palette.alarm), StrokeKind::Outside);
    }
    rect
}
