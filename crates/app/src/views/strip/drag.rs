//! Moving a flip by hand: its window, what each place in it costs, and the place it would snap to.

use eframe::egui::{Align2, Painter, Rect, Stroke, StrokeKind, pos2, vec2};
use leverlane_core::plan::{Gesture, PlaceCost};
use leverlane_core::time::ScoreTime;

use super::layout::{Layout, MARK_SIZE};
use super::model::StripModel;
use crate::names;
use crate::state::Costs;
use crate::theme::{self, Palette};
use crate::views::Open;
use crate::widgets::{FlipMark, MarkState, flip_mark_size, paint_flip_mark};

/// A flip in the player's hand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Held {
    /// The gesture, by its place in the plan.
    pub gesture: usize,
    /// How far to the right of its flip beat she took hold of it.
    pub grip: f32,
}

/// The place nearest to a point of the strip, of those the gesture's hand could make it at.
pub(super) fn nearest<'a>(
    costs: &'a Costs,
    gesture: &Gesture,
    layout: &Layout,
    model: &StripModel,
    x: f32,
) -> Option<&'a PlaceCost> {
    let away = |place: &&PlaceCost| (layout.x(place.at.since_start(), model.length, 0) - x).abs();
    let of_hand = costs.places.iter().filter(|place| place.hand == gesture.hand);
    of_hand.min_by(|a, b| away(a).total_cmp(&away(b)))
}

/// A flip that is held, and what is shown for it.
pub(super) struct Picture<'a> {
    pub open: Open<'a>,
    pub palette: &'a Palette,
    pub layout: &'a Layout,
    pub model: &'a StripModel,
    pub gesture: &'a Gesture,
    pub costs: &'a Costs,
    /// Where it would snap to.
    pub target: &'a PlaceCost,
}

impl Picture<'_> {
    /// Draws the window of the flip and its places; the nearest one with its cost in words.
    pub fn paint(&self, painter: &Painter) {
        let Picture { open, palette, layout, model, gesture, costs, target } = *self;
        let words = open.state.words();
        let x = |at: ScoreTime| layout.x(at.since_start(), model.length, 0);
        let from = gesture.flips.iter().filter_map(|flip| flip.window.after).max().unwrap_or(ScoreTime::START);
        let until = gesture.flips.iter().map(|flip| flip.window.before).min().unwrap_or(from);
        let window = Rect::from_x_y_ranges(x(from)..=x(until), layout.flips.top()..=layout.clicks.top() + 22.0);
        painter.rect_filled(window, 0.0, palette.accent.gamma_multiply(0.10));
        for edge in [window.left(), window.right()] {
            painter.vline(edge, window.y_range(), Stroke::new(2.0, palette.accent));
        }
        let foot = layout.strings.bottom() - 4.0;
        let mut labelled = f32::NEG_INFINITY;
        let most = costs.places.iter().map(|place| place.comfort).max().unwrap_or(1).max(1);
        for place in costs.places.iter().filter(|place| place.hand == gesture.hand) {
            let at = x(place.at);
            let is_target = place.at == target.at;
            let (text, ink) = if place.rushed > 0 {
                ("!".to_owned(), palette.alarm)
            } else {
                (place.comfort.to_string(), palette.ink)
            };
            // The taller, the dearer.
            let height = 6.0 + 34.0 * place.comfort as f32 / most as f32;
            let bar = Rect::from_min_max(pos2(at - 4.0, foot - height), pos2(at + 4.0, foot));
            painter.rect_filled(bar, 2.0, if is_target { palette.accent } else { palette.muted });
            // Places may lie closer than their figures have room.
            if is_target || at >= labelled + 22.0 {
                let font = if is_target { theme::display(17.0) } else { theme::text(15.0) };
                painter.text(bar.center_top() - vec2(0.0, 2.0), Align2::CENTER_BOTTOM, text, font, ink);
                labelled = at;
            }
        }
        let mark = FlipMark::of(words, gesture);
        let size = flip_mark_size(painter, &mark, MARK_SIZE);
        let middle = layout.flips.bottom() - size.y / 2.0 - 2.0;
        painter.vline(x(target.at), window.y_range(), Stroke::new(2.0, palette.flip));
        paint_flip_mark(painter, palette, pos2(x(target.at), middle), &mark, MARK_SIZE, MarkState::Foremost);
        let place = ("place", names::place(words, open.piece, target.played_bar, target.at).into());
        let said = if target.at == gesture.at {
            words.with("edit-drag-here", [place])
        } else {
            let state = if target.rushed > 0 { "rushed" } else { "free" };
            words.with("edit-drag-cost", [place, ("state", state.into()), ("cost", target.comfort.into())])
        };
        let galley = painter.layout_no_wrap(said, theme::strong(18.0), palette.ink);
        let below = pos2(x(target.at) + 8.0, layout.strings.top() + 6.0);
        let label = Rect::from_min_size(below, galley.size() + vec2(16.0, 8.0));
        let label = label.translate(vec2((layout.whole.right() - 6.0 - label.right()).min(0.0), 0.0));
        painter.rect(label, theme::ROUND, palette.card, Stroke::new(1.5, palette.accent), StrokeKind::Inside);
        painter.galley(label.min + vec2(8.0, 4.0), galley, palette.ink);
    }
}
