//! The largest words in the window: which levers to set while nothing sounds, which flip comes next while it does.

mod model;

pub use model::{Countdown, countdown, setting_in_words};

use eframe::egui::{
    Align2, Frame, Margin, Painter, Rect, RichText, Role, Sense, Stroke, Ui, Vec2, WidgetInfo, pos2, vec2,
};

use crate::names;
use crate::state::{PassPlace, Piece, Planned, State};
use crate::theme::{self, Palette};
use crate::widgets::{FlipMark, MarkState, harp_drawing_ui, muted, paint_flip_mark};

/// The card's sizes: they grow with the window, to be read from farther away.
#[derive(Clone, Copy)]
struct Sizes {
    height: f32,
    /// The next flip's mark.
    mark: f32,
    /// The count.
    figure: f32,
    words: f32,
    /// From one stroke of the count to the next.
    stroke_step: f32,
}

impl Sizes {
    /// For a window whose middle is so high.
    fn for_height(middle: f32) -> Sizes {
        let scale = (middle / 590.0).clamp(0.7, 1.6);
        Sizes {
            height: 168.0 * scale,
            mark: 62.0 * scale,
            figure: 112.0 * scale,
            words: (25.0 * scale).max(20.0),
            stroke_step: 26.0 * scale,
        }
    }
}

/// Draws the card.
pub fn now_ui(state: &State, piece: &Piece, planned: &Planned, ui: &mut Ui) {
    let palette = theme::palette(ui);
    let sizes = Sizes::for_height(ui.available_height());
    Frame::NONE
        .fill(palette.card)
        .stroke(Stroke::new(1.0, palette.line))
        .corner_radius(theme::ROUND)
        .inner_margin(Margin::symmetric(20, 12))
        .show(ui, |ui| {
            ui.set_height(sizes.height);
            ui.take_available_width();
            match state.drill.transport.place() {
                Some(place) => next_ui(state, piece, planned, place, sizes, ui),
                None => setting_ui(state, piece, planned, sizes, ui),
            }
        });
}

fn setting_ui(state: &State, piece: &Piece, planned: &Planned, sizes: Sizes, ui: &mut Ui) {
    let setting = state.drill.looped.as_ref().map_or(&planned.plan.start, |looped| &looped.chunk.start);
    let words = setting_in_words(&planned.harp, setting);
    ui.horizontal_top(|ui| {
        let drawing = (ui.available_width() * 0.46).clamp(240.0, 640.0);
        let width = ui.available_width() - drawing - theme::FAR;
        ui.vertical(|ui| {
            ui.set_width(width);
            let (heading, shown) = if words == "none" {
                ("First set the levers", "all down")
            } else {
                ("First set these levers up, all others down", words.as_str())
            };
            ui.label(muted(ui, heading));
            let size = match words.chars().count() {
                0..40 => 1.28,
                40..72 => 1.0,
                _ => 0.8,
            } * sizes.words;
            let response = ui.label(RichText::new(shown).font(theme::display(size)).color(theme::palette(ui).flip));
            let spoken = format!("Set up: {words}");
            response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &spoken));
            ui.add_space(6.0);
            ui.label(RichText::new(then(state, piece, planned)).font(theme::text(sizes.words * 0.8)));
        });
        let name = format!("The harp with its levers: up are {words}");
        harp_drawing_ui(ui, &planned.harp, setting, vec2(drawing, sizes.height - 4.0), &name);
    });
}

fn then(state: &State, piece: &Piece, planned: &Planned) -> String {
    let flip = state.drill.selected.and_then(|selected| planned.plan.gestures.get(selected));
    match flip {
        None if planned.plan.gestures.is_empty() => "Then nothing has to be flipped. Space plays the piece.".to_owned(),
        None => "Choose a flip at the right; Space plays the whole piece.".to_owned(),
        Some(gesture) => format!(
            "Then Space loops {} with the {}, {}.",
            names::gesture(gesture),
            names::hand(gesture.hand),
            names::place(piece, gesture.played_bar, gesture.at)
        ),
    }
}

fn next_ui(state: &State, piece: &Piece, planned: &Planned, place: PassPlace, sizes: Sizes, ui: &mut Ui) {
    let Some(looped) = &state.drill.looped else { return };
    let (rect, response) = ui.allocate_exact_size(Vec2::new(ui.available_width(), sizes.height), Sense::hover());
    let palette = theme::palette(ui);
    let painter = ui.painter_at(rect.expand(8.0));
    let count = countdown(looped, piece, planned, place);
    let Some(count) = count else {
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, "No flips in this loop"));
        painter.text(
            rect.left_center(),
            Align2::LEFT_CENTER,
            "No flips in this loop",
            theme::strong(30.0),
            palette.ink,
        );
        return;
    };
    let gesture = count.gesture;
    let when = count.in_words();
    let where_to = if count.is_reset {
        "back for the next time round".to_owned()
    } else {
        names::place(piece, gesture.played_bar, gesture.at)
    };
    let spoken =
        format!("Next flip: {}, {}, {where_to}, {when}", names::gesture_spoken(gesture), names::hand(gesture.hand));
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &spoken));
    let heading = if place.is_count_in() { "Count-in. The first flip:" } else { "Next flip" };
    painter.text(rect.left_top(), Align2::LEFT_TOP, heading, theme::text(18.0), palette.muted);
    let at = pos2(rect.left(), middle(rect));
    let mark = paint_flip_mark(&painter, palette, at, &FlipMark::of(gesture), sizes.mark, MarkState::Foremost);
    let words = format!("{}, {where_to}", names::hand(gesture.hand));
    painter.text(pos2(rect.left(), rect.bottom()), Align2::LEFT_BOTTOM, words, theme::strong(sizes.words), palette.ink);
    let right = Rect::from_min_max(pos2(mark.right() + 2.0 * theme::FAR, rect.top()), rect.max);
    count_ui(&painter, palette, right, &count, sizes);
}

/// The count as a figure, and as strokes that come nearer and go out one by one; the last one is the flip.
fn count_ui(painter: &Painter, palette: &Palette, rect: Rect, count: &Countdown<'_>, sizes: Sizes) {
    let figure_at = pos2(rect.left(), middle(rect));
    let figure =
        painter.text(figure_at, Align2::LEFT_CENTER, count.figure(), theme::display(sizes.figure), palette.accent);
    painter.text(rect.right_bottom(), Align2::RIGHT_BOTTOM, count.in_words(), theme::strong(sizes.words), palette.ink);
    let left = figure.right().max(rect.left() + sizes.figure) + theme::FAR;
    for beat in 0..count.beats_left {
        let x = left + sizes.stroke_step * beat as f32;
        if x > rect.right() {
            break;
        }
        let is_last = beat + 1 == count.beats_left;
        let (height, ink) =
            if is_last { (sizes.mark * 1.2, palette.flip) } else { (sizes.mark * 0.65, palette.accent) };
        let stroke = Rect::from_center_size(pos2(x, middle(rect)), vec2(sizes.stroke_step * 0.35, height));
        painter.rect_filled(stroke, 3.0, ink);
    }
}

/// Where the mark, the figure and the strokes have their middle.
fn middle(rect: Rect) -> f32 {
    rect.top() + rect.height() * 0.46
}
