//! The whole piece as one line: where its flips are, and which bars are looped.

mod model;

pub use model::WholeModel;

use eframe::egui::{Align2, Rect, Role, Sense, Shape, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2, vec2};
use leverlane_core::harp::LeverState;

use crate::intent::{DrillIntent, Intent};
use crate::state::{Piece, Planned, State};
use crate::theme;

/// How high the line is.
pub const HEIGHT: f32 = 44.0;
/// Room for the first and the last bar's number.
const SIDE: f32 = 64.0;

/// What the line remembers between frames.
#[derive(Default)]
pub struct WholeView {
    revision: u64,
    model: WholeModel,
    /// The bar where the player began to draw.
    drawn_from: Option<usize>,
}

/// Draws the line.
pub fn whole_ui(
    state: &State,
    piece: &Piece,
    planned: &Planned,
    view: &mut WholeView,
    ui: &mut Ui,
    intents: &mut Vec<Intent>,
) {
    if view.revision != state.revision {
        view.revision = state.revision;
        view.model = WholeModel::new(state.words(), piece, planned, state.drill.looped.as_deref());
    }
    let model = &view.model;
    let (rect, response) = ui.allocate_exact_size(Vec2::new(ui.available_width(), HEIGHT), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &model.summary));
    let line = Rect::from_min_max(pos2(rect.left() + SIDE, rect.top()), pos2(rect.right() - SIDE, rect.bottom()));
    if let Some(pointer) = response.interact_pointer_pos().filter(|_| response.clicked()) {
        let share = (pointer.x - line.left()) / line.width();
        intents.extend(model.nearest_flip(share).map(|flip| DrillIntent::Select(flip).into()));
    }
    let bar_at = |x: f32| model.bar_at((x - line.left()) / line.width());
    if response.drag_started() {
        view.drawn_from = ui.input(|input| input.pointer.press_origin()).map(|origin| bar_at(origin.x));
    }
    if let (Some(from), Some(pointer)) = (view.drawn_from, response.interact_pointer_pos()) {
        if response.drag_stopped() {
            intents.push(DrillIntent::TakeBars { first: from, last: bar_at(pointer.x) }.into());
            view.drawn_from = None;
        } else {
            let (a, b) = (from, bar_at(pointer.x));
            let (first, last) = model.share_of_bars(a.min(b), a.max(b));
            let drawn = Rect::from_x_y_ranges(
                line.left() + first * line.width()..=line.left() + last * line.width(),
                line.y_range(),
            );
            ui.painter().rect_filled(drawn, 3.0, theme::palette(ui).accent.gamma_multiply(0.25));
        }
    }
    if !ui.is_rect_visible(rect) {
        return;
    }
    let palette = theme::palette(ui);
    let painter = ui.painter_at(rect);
    let x = |share: f32| line.left() + share * line.width();
    let (middle, ends) = (line.center().y + 4.0, &model.ends);
    painter.text(pos2(line.left() - 10.0, middle), Align2::RIGHT_CENTER, &ends[0], theme::text(16.0), palette.muted);
    painter.text(pos2(line.right() + 10.0, middle), Align2::LEFT_CENTER, &ends[1], theme::text(16.0), palette.muted);
    painter.line_segment([pos2(x(0.0), middle), pos2(x(1.0), middle)], Stroke::new(2.0, palette.muted));
    if line.width() / model.bars.len().max(1) as f32 > 4.0 {
        for &bar in &model.bars {
            painter.line_segment(
                [pos2(x(bar), middle - 4.0), pos2(x(bar), middle + 4.0)],
                Stroke::new(1.0, palette.muted),
            );
        }
    }
    if let Some((from, to)) = model.looped {
        let bars = Rect::from_x_y_ranges(x(from)..=x(to).max(x(from) + 6.0), middle - 9.0..=middle + 9.0);
        painter.rect(
            bars,
            4.0,
            palette.accent.gamma_multiply(0.16),
            Stroke::new(2.0, palette.accent),
            StrokeKind::Outside,
        );
    }
    for (index, flip) in model.flips.iter().enumerate() {
        let is_selected = state.drill.selected == Some(index);
        let reach = if is_selected { 7.0 } else { 4.5 };
        // On the side to which the lever goes.
        let (base, tip) = match flip.to {
            LeverState::Up => (middle - 3.0, middle - 3.0 - 2.0 * reach),
            LeverState::Down => (middle + 3.0, middle + 3.0 + 2.0 * reach),
        };
        let at = x(flip.share);
        let corners = vec![pos2(at - reach, base), pos2(at + reach, base), pos2(at, tip)];
        painter.add(Shape::convex_polygon(corners, palette.flip, Stroke::NONE));
    }
    if let Some(share) = state.drill.transport.place().and_then(|place| model.share_of(place.at)) {
        let now = Rect::from_center_size(pos2(x(share), middle), vec2(3.0, 30.0));
        painter.rect_filled(now, 1.0, palette.accent);
    }
}
