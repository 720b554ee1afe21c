//! How a system looks.

use eframe::egui::{Align2, Color32, Rect, Stroke, StrokeKind, TextureHandle, Ui, pos2};
use leverlane_engraving::System;

use super::layout::{BEATS, Layout, MARK_SIZE, SPACE, STRIP};
use super::model::ScoreModel;
use crate::state::State;
use crate::theme;
use crate::widgets::{MarkState, paint_flip_mark};

/// The part of a picture that is shown: all of it.
const WHOLE: Rect = Rect { min: pos2(0.0, 0.0), max: pos2(1.0, 1.0) };

/// A system in the window.
pub(super) struct Shown<'a> {
    /// Where all systems stand.
    pub(super) layout: &'a Layout,
    /// Where this one stands in the window.
    pub(super) place: Rect,
    /// Which one it is.
    pub(super) index: usize,
    /// What stands on all of them.
    pub(super) model: &'a ScoreModel,
}

pub(super) fn system(state: &State, ui: &Ui, shown: &Shown<'_>, drawn: &System, picture: Option<TextureHandle>) {
    let Shown { layout, place, index, model } = *shown;
    let palette = theme::palette(ui);
    let painter = ui.painter();
    painter.rect(place.expand(4.0), theme::ROUND, palette.card, Stroke::new(1.0, palette.line), StrokeKind::Outside);
    let Some(shown) = model.systems.get(index) else { return };
    let notation = Rect::from_min_max(place.min, pos2(place.right(), place.bottom() - STRIP));
    for span in &shown.looped {
        let band = Rect::from_x_y_ranges(
            Layout::x(place, span.from)..=Layout::x(place, span.to),
            place.top() + 2.0..=place.bottom() - 2.0,
        );
        painter.rect_filled(band, 0.0, palette.accent.gamma_multiply(0.10));
        for x in [band.left(), band.right()] {
            painter.line_segment([pos2(x, band.top()), pos2(x, band.bottom())], Stroke::new(1.5, palette.accent));
        }
    }
    match picture {
        Some(picture) => {
            let _ = painter.image(picture.id(), notation, WHOLE, palette.ink);
        }
        None => staves_alone(ui, place, drawn, palette.line),
    }
    let strip = Layout::strip(place);
    for (x, _) in &shown.bars {
        let x = Layout::x(place, *x);
        painter.line_segment([pos2(x, strip.top()), pos2(x, strip.bottom())], Stroke::new(1.0, palette.line));
    }
    for beat in &shown.beats {
        let x = Layout::x(place, beat.x);
        let reach = if beat.number == 1 { 8.0 } else { 5.0 };
        let ink = if beat.number == 1 { palette.ink } else { palette.muted };
        painter.line_segment([pos2(x, strip.top()), pos2(x, strip.top() + reach)], Stroke::new(1.5, ink));
        let under = pos2(x, strip.top() + BEATS);
        painter.text(under, Align2::CENTER_BOTTOM, beat.number.to_string(), theme::text(13.0), palette.muted);
    }
    for (flip, rect) in layout.flip_rects(painter, place, model, index) {
        let beat = Layout::x(place, flip.x);
        let state_of_mark =
            if state.drill.selected == Some(flip.gesture) { MarkState::Foremost } else { MarkState::Ordinary };
        painter.line_segment([pos2(beat, strip.top()), pos2(beat, rect.top())], Stroke::new(1.5, palette.flip));
        paint_flip_mark(painter, palette, pos2(rect.left(), rect.center().y), &flip.mark, MARK_SIZE, state_of_mark);
    }
}

/// Until the picture is there: the lines of the staves.
fn staves_alone(ui: &Ui, place: Rect, drawn: &System, ink: Color32) {
    for staff in &drawn.staves {
        for line in 0..5 {
            let part = line as f32 / 4.0;
            let y = place.top() + (staff.from + (staff.to - staff.from) * part) * SPACE;
            ui.painter().line_segment([pos2(place.left(), y), pos2(place.right(), y)], Stroke::new(1.0, ink));
        }
    }
}
