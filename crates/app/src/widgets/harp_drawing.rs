//! The harp's strings and levers, drawn small.
//!
//! Bass at the left, or at the right for who sees her harp so. A raised lever is a filled square that pushes its string aside; a lowered one a short open stroke;
//! a string without a lever has nothing at its head.

use eframe::egui::{Align2, Pos2, Rect, Role, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2};
use leverlane_core::harp::{Harp, LeverState, Setting};
use leverlane_core::pitch::Letter;

use crate::state::Side;
use crate::theme;
use crate::words::Words;

const WIDEST_STEP: f32 = 18.0;

/// Draws every string of the harp with its lever in the given setting; `name` is what screen readers hear.
pub fn harp_drawing_ui(ui: &mut Ui, words: Words, side: Side, harp: &Harp, setting: &Setting, size: Vec2, name: &str) {
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, name));
    if !ui.is_rect_visible(rect) {
        return;
    }
    let palette = theme::palette(ui);
    let painter = ui.painter_at(rect);
    let count = harp.strings().len();
    let step = (rect.width() / (count.max(1) as f32)).min(WIDEST_STEP);
    let left = rect.center().x - step * (count as f32 - 1.0) / 2.0;
    let (head, foot) = (rect.top() + 6.0, rect.bottom() - 20.0);
    for (number, string) in harp.numbered() {
        let letter = string.open.letter();
        let from_bass = count - 1 - number.index();
        let from_left = match side {
            Side::BassLeft => from_bass,
            Side::BassRight => number.index(),
        };
        let x = left + step * from_left as f32;
        // Shorter towards the top, as on the harp.
        let short = (foot - head) * 0.5 * from_bass as f32 / count.max(1) as f32;
        let end = foot - short;
        let (colour, width) = match letter {
            Letter::C => (palette.c_string, 2.0),
            Letter::F => (palette.f_string, 2.0),
            _ => (palette.string, 1.2),
        };
        let lever_at = pos2(x, head + 10.0);
        match setting.of(number) {
            LeverState::Up => {
                let aside = 2.5;
                painter.line(
                    vec![pos2(x, head), pos2(x + aside, lever_at.y), pos2(x + aside, end)],
                    Stroke::new(width, colour),
                );
                painter.rect_filled(lever(lever_at, step), 1.0, palette.flip);
            }
            LeverState::Down => {
                painter.line_segment([pos2(x, head), pos2(x, end)], Stroke::new(width, colour));
                if string.lever.is_fitted() {
                    let mark = lever(lever_at, step * 0.75);
                    painter.rect(mark, 1.0, palette.card, Stroke::new(1.0, palette.muted), StrokeKind::Inside);
                }
            }
        }
        if matches!(letter, Letter::C | Letter::F) || setting.of(number) == LeverState::Up {
            let ink = if setting.of(number) == LeverState::Up { palette.flip } else { colour };
            let at = pos2(x, end + 8.0);
            painter.text(at, Align2::CENTER_CENTER, words.letter(letter), theme::strong(step.min(13.0)), ink);
        }
    }
}

fn lever(at: Pos2, step: f32) -> Rect {
    Rect::from_center_size(at, Vec2::splat((step * 0.72).clamp(4.0, 10.0)))
}
