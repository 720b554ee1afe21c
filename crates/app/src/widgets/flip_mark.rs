//! The mark of a flip: letter and sign, the way the lever goes, and the hand.
//!
//! The hand shows twice: as a letter, and by the side on which the mark is pointed.

use std::sync::Arc;

use eframe::egui::text::{LayoutJob, TextFormat};
use eframe::egui::{Align, Align2, Color32, Galley, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, Vec2, pos2};
use leverlane_core::plan::Gesture;
use leverlane_core::score::Hand;

use crate::names;
use crate::theme::{self, Palette};
use crate::words::Words;

/// What a mark shows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FlipMark {
    /// Letter, sign and arrow of every lever moved: `F♯↑ G♯↑`.
    pub text: String,
    /// The hand.
    pub hand: Hand,
    /// The hand in one letter.
    pub letter: String,
    /// Whether the hand has too little time.
    pub is_rushed: bool,
    /// Whether the player has fixed it.
    pub is_locked: bool,
}

impl FlipMark {
    /// The mark of a gesture.
    pub fn of(words: Words, gesture: &Gesture) -> FlipMark {
        let text = gesture
            .flips
            .iter()
            .map(|flip| format!("{}{}", words.flip_note(flip.sounds), names::arrow(flip.to)))
            .collect::<Vec<_>>()
            .join(" ");
        FlipMark {
            text,
            hand: gesture.hand,
            letter: names::hand_letter(words, gesture.hand),
            is_rushed: gesture.is_rushed(),
            is_locked: gesture.locked,
        }
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

/// What stands beside the words: the point, the hand's letter and the margins.
const SIDE: f32 = 20.0;

/// The words of a mark. Signs are drawn larger than letters: from afar they are what is mistaken first.
fn words(painter: &Painter, mark: &FlipMark, size: f32, ink: Color32) -> Arc<Galley> {
    let mut job = LayoutJob::default();
    if mark.is_rushed {
        let format = TextFormat { valign: Align::Center, ..TextFormat::simple(theme::display(size), ink) };
        job.append("! ", 0.0, format);
    }
    for character in mark.text.chars() {
        let font =
            if matches!(character, '♭' | '♮' | '♯') { theme::text(size * 1.3) } else { theme::display(size) };
        let format = TextFormat { valign: Align::Center, ..TextFormat::simple(font, ink) };
        job.append(character.encode_utf8(&mut [0; 4]), 0.0, format);
    }
    painter.layout_job(job)
}

/// How large a mark is at a type size.
pub fn flip_mark_size(painter: &Painter, mark: &FlipMark, size: f32) -> Vec2 {
    Vec2::new(words(painter, mark, size, Color32::WHITE).size().x + SIDE + size * 0.9, size * 1.5)
}

/// Draws a mark whose left edge, the flip beat, stands at `at`, half-way up. Both hands' marks lie to the right of it, so
/// that nothing covers what has been.
pub fn paint_flip_mark(
    painter: &Painter,
    palette: &Palette,
    at: Pos2,
    mark: &FlipMark,
    size: f32,
    state: MarkState,
) -> Rect {
    let (fill, ink) = match state {
        MarkState::Foremost => (palette.flip, palette.on_flip),
        MarkState::Ordinary => (palette.card, palette.flip),
    };
    let galley = words(painter, mark, size, ink);
    let extent = Vec2::new(galley.size().x + SIDE + size * 0.9, size * 1.5);
    let rect = Rect::from_min_size(pos2(at.x, at.y - extent.y / 2.0), extent);
    let point = extent.y * 0.32;
    let edge = if mark.is_rushed { palette.alarm } else { palette.flip };
    painter.add(Shape::convex_polygon(outline(rect, point, mark.hand), fill, Stroke::new(2.0, edge)));
    let letter = &mark.letter;
    let left = match mark.hand {
        Hand::Left => rect.left() + point + 3.0,
        Hand::Right => rect.left() + 7.0,
    };
    let middle = rect.center().y;
    let (hand_size, gap) = (theme::text(size * 0.7), 5.0);
    match mark.hand {
        Hand::Left => {
            let hand = painter.text(pos2(left, middle), Align2::LEFT_CENTER, letter, hand_size, ink);
            painter.galley(pos2(hand.right() + gap, middle - galley.size().y / 2.0), galley, ink);
        }
        Hand::Right => {
            let after = left + galley.size().x + gap;
            painter.galley(pos2(left, middle - galley.size().y / 2.0), galley, ink);
            painter.text(pos2(after, middle), Align2::LEFT_CENTER, letter, hand_size, ink);
        }
    }
    if mark.is_locked {
        padlock(painter, pos2(rect.right() - 3.0, rect.top() + 1.0), palette);
    }
    if mark.is_rushed {
        painter.rect_stroke(rect.expand(3.0), theme::ROUND, Stroke::new(1.5, palette.alarm), StrokeKind::Outside);
    }
    rect
}

/// A small closed padlock, its middle at a place: the player has fixed the flip.
fn padlock(painter: &Painter, at: Pos2, palette: &Palette) {
    painter.circle(at - Vec2::new(0.0, 3.0), 4.0, Color32::TRANSPARENT, Stroke::new(2.0, palette.accent));
    let body = Rect::from_center_size(at + Vec2::new(0.0, 2.5), Vec2::new(13.0, 9.0));
    painter.rect(body, 2.0, palette.accent, Stroke::new(1.0, palette.card), StrokeKind::Outside);
}

/// Pointed on the hand's own side.
fn outline(rect: Rect, point: f32, hand: Hand) -> Vec<Pos2> {
    match hand {
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
    }
}
