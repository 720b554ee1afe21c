//! The largest words in the window: which levers to set while nothing sounds, which flip comes next while it does.

mod model;

pub use model::{Countdown, Eyes, countdown, eyes};

use eframe::egui::{Align2, Frame, Margin, Painter, Rect, Role, Sense, Stroke, Ui, Vec2, WidgetInfo, pos2, vec2};

use leverlane_core::drill::CueLevel;

use super::afar::{self, HEIGHT as AFAR_HEIGHT};
use super::practice;
use crate::keys::Action;
use crate::names;
use crate::state::{Distance, PassPlace, Piece, Planned, State};
use crate::theme::{self, Palette};
use crate::views::setting::{SettingSizes, setting_ui};
use crate::widgets::{FlipMark, MarkState, paint_flip_mark};
use crate::words::Words;

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
    /// For a window whose middle is so high; lower where the ladder needs room too.
    fn for_height(middle: f32, has_ladder: bool) -> Sizes {
        let share = if has_ladder { 0.8 } else { 1.0 };
        let scale = (middle / 590.0 * share).clamp(0.7, 1.6);
        Sizes {
            height: 168.0 * scale,
            mark: 62.0 * scale,
            figure: 112.0 * scale,
            words: (25.0 * scale).max(20.0),
            stroke_step: 26.0 * scale,
        }
    }
}

/// The share of its size that a capital of the window's type is high (the font's own table: 645 of 1000).
const CAPITAL: f32 = 0.645;

impl Sizes {
    /// For who sits a metre or more away, in a card so high: from 900 points up every word's capitals are at least 48
    /// points high.
    fn for_afar(height: f32) -> Sizes {
        let scale = (height / 900.0).clamp(0.4, 1.6);
        Sizes {
            height,
            mark: 190.0 * scale,
            figure: 340.0 * scale,
            words: 49.0 / CAPITAL * scale,
            stroke_step: 60.0 * scale,
        }
    }
}

/// Draws the card.
pub fn now_ui(state: &State, piece: &Piece, planned: &Planned, ui: &mut Ui) {
    let palette = theme::palette(ui);
    let sizes = match state.settings.distance {
        Distance::Near => Sizes::for_height(ui.available_height(), state.drill.practice.is_some()),
        // Its own margins come off.
        Distance::Far if state.drill.practice.is_some() => {
            Sizes::for_afar(ui.available_height() - 30.0 - theme::NEAR - AFAR_HEIGHT)
        }
        Distance::Far if practice::tells_of_passes(state) => {
            Sizes::for_afar(ui.available_height() - 30.0 - theme::NEAR - afar::SENTENCE)
        }
        Distance::Far => Sizes::for_afar(ui.available_height() - 30.0),
    };
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
                None => chunk_setting_ui(state, piece, planned, sizes, ui),
            }
        });
}

fn chunk_setting_ui(state: &State, piece: &Piece, planned: &Planned, sizes: Sizes, ui: &mut Ui) {
    let setting = state.drill.looped.as_ref().map_or(&planned.plan.start, |looped| &looped.chunk.start);
    let sizes = SettingSizes { words: sizes.words, height: sizes.height - 4.0 };
    setting_ui(&state.settings, &planned.harp, setting, &then(state, piece, planned), sizes, ui);
}

fn then(state: &State, piece: &Piece, planned: &Planned) -> String {
    let words = state.words();
    let key = ("key", names::hint(state, Action::StartOrStop).into());
    match state.drill.selected.and_then(|selected| planned.plan.gestures.get(selected)) {
        None if planned.plan.gestures.is_empty() => words.with("then-nothing", [key]),
        None => words.with("then-whole", [key]),
        Some(gesture) => {
            let flip = ("flip", names::gesture(words, gesture).into());
            let hand = ("hand", names::hand(words, gesture.hand).into());
            let place = ("place", names::place(words, piece, gesture.played_bar, gesture.at).into());
            words.with("then-loop", [key, flip, hand, place])
        }
    }
}

fn next_ui(state: &State, piece: &Piece, planned: &Planned, place: PassPlace, sizes: Sizes, ui: &mut Ui) {
    let words = state.words();
    let Some(looped) = &state.drill.looped else { return };
    let (rect, response) = ui.allocate_exact_size(Vec2::new(ui.available_width(), sizes.height), Sense::hover());
    let palette = theme::palette(ui);
    let painter = ui.painter_at(rect.expand(8.0));
    let count = countdown(looped, piece, planned, place);
    let Some(count) = count else {
        let none = words.text("next-none");
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &none));
        painter.text(rect.left_center(), Align2::LEFT_CENTER, &none, theme::strong(30.0), palette.ink);
        return;
    };
    let gesture = count.gesture;
    let when = count.in_words(words);
    let where_to = if count.is_reset {
        words.text("next-reset")
    } else {
        names::place(words, piece, gesture.played_bar, gesture.at)
    };
    let gaps = [
        ("flip", names::gesture_spoken(words, gesture).into()),
        ("hand", names::hand(words, gesture.hand).into()),
        ("place", where_to.clone().into()),
        ("when", when.into()),
    ];
    let look = look_cue(state, place);
    let spoken = [Some(words.with("next-spoken", gaps)), look.clone()];
    let spoken = spoken.into_iter().flatten().collect::<Vec<_>>().join(". ");
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &spoken));
    let heading = if place.is_count_in() { words.text("next-counting-in") } else { words.text("next-flip") };
    painter.text(rect.left_top(), Align2::LEFT_TOP, heading, theme::text(18.0), palette.muted);
    if let Some(look) = look {
        painter.text(rect.right_top(), Align2::RIGHT_TOP, look, theme::strong(sizes.words), palette.accent);
    }
    let at = pos2(rect.left(), middle(rect));
    let mark = paint_flip_mark(&painter, palette, at, &FlipMark::of(words, gesture), sizes.mark, MarkState::Foremost);
    let below = format!("{}, {where_to}", names::hand(words, gesture.hand));
    painter.text(pos2(rect.left(), rect.bottom()), Align2::LEFT_BOTTOM, below, theme::strong(sizes.words), palette.ink);
    let right = Rect::from_min_max(pos2(mark.right() + 2.0 * theme::FAR, rect.top()), rect.max);
    count_ui(words, &painter, palette, right, &count, sizes);
}

/// Where the eyes are to be, as long as everything is cued.
fn look_cue(state: &State, place: PassPlace) -> Option<String> {
    let level = state.drill.practice.as_ref().map_or_else(CueLevel::default, |desk| desk.practice.cueing.level());
    let looped = state.drill.looped.as_ref().filter(|_| level == CueLevel::Everything)?;
    Some(match eyes(&looped.looks, place.at)? {
        Eyes::OnLever => state.words().text("look-lever"),
        Eyes::OnStrings => state.words().text("look-strings"),
    })
}

/// The count as a figure, and as strokes that come nearer and go out one by one; the last one is the flip.
fn count_ui(words: Words, painter: &Painter, palette: &Palette, rect: Rect, count: &Countdown<'_>, sizes: Sizes) {
    let figure_at = pos2(rect.left(), middle(rect));
    let figure =
        painter.text(figure_at, Align2::LEFT_CENTER, count.figure(words), theme::display(sizes.figure), palette.accent);
    painter.text(
        rect.right_bottom(),
        Align2::RIGHT_BOTTOM,
        count.in_words(words),
        theme::strong(sizes.words),
        palette.ink,
    );
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
