//! The harp itself: every string with its letter, its colour and mark, and its lever.
//!
//! C strings are red with a ring at the foot, F strings dark with a bar, so that colour is never alone. A raised lever
//! is a filled square that pushes its string aside, a lowered one an open stroke; a string without a lever has a bare
//! head. A click on a string shows its details; a click on its lever moves it before the start.

use eframe::egui::{Align2, Color32, Painter, Rect, Role, Sense, Stroke, StrokeKind, Ui, Vec2, WidgetInfo, pos2, vec2};
use leverlane_core::harp::{Harp, HarpString, LeverState, Setting, StringNumber};
use leverlane_core::pitch::Letter;

use crate::intent::{HarpIntent, Intent, RegulatingIntent};
use crate::names;
use crate::state::{Side, State};
use crate::theme::{self, Palette};
use crate::words::Words;

const WIDEST_STEP: f32 = 34.0;
/// Above the strings, for levers and numbers.
const HEAD: f32 = 52.0;
/// Below the strings, for letters.
const FOOT: f32 = 54.0;

/// What is shown of a harp.
pub struct Shown<'a> {
    /// It.
    pub harp: &'a Harp,
    /// How its levers stand.
    pub setting: Setting,
    /// The string that is looked at.
    pub selected: Option<StringNumber>,
    /// What a click does.
    pub does: Does,
    /// What stands at each string.
    pub mark: &'a dyn Fn(StringNumber) -> Mark,
}

/// What a click on a string or its lever does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Does {
    /// It chooses the string for a change, or moves the lever.
    Edits,
    /// It has the lever check ask for the string.
    Asks,
    /// Nothing.
    Shows,
}

/// What stands at a string.
#[derive(Clone, Debug, Default)]
pub struct Mark {
    /// Whether it is heard just now.
    pub lit: bool,
    /// What was measured.
    pub figure: Option<Figure>,
    /// The same in words; may be empty.
    pub said: String,
}

/// A measured figure.
#[derive(Clone, Debug)]
pub struct Figure {
    /// The figure.
    pub text: String,
    /// Its colour.
    pub ink: Color32,
    /// Whether a frame draws the eye to it, so that colour is never alone.
    pub is_framed: bool,
}

/// Draws the harp.
pub fn picture_ui(state: &State, shown: &Shown<'_>, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let (words, palette) = (state.words(), theme::palette(ui));
    let Shown { harp, setting, .. } = shown;
    let (rect, _) = ui.allocate_exact_size(ui.available_size(), Sense::hover());
    ui.painter().rect(rect, theme::ROUND, palette.card, Stroke::new(1.0, palette.line), StrokeKind::Inside);
    let count = harp.strings().len();
    let step = ((rect.width() - 40.0) / count.max(1) as f32).min(WIDEST_STEP);
    let left = rect.center().x - step * (count as f32 - 1.0) / 2.0;
    for (number, string) in harp.numbered() {
        let from_left = match state.settings.side {
            Side::BassLeft => count - 1 - number.index(),
            Side::BassRight => number.index(),
        };
        let from_bass = (count - 1 - number.index()) as f32 / count.max(1) as f32;
        let x = left + step * from_left as f32;
        let (top, bottom) = (rect.top() + HEAD, rect.bottom() - FOOT);
        let foot = bottom - (bottom - top) * 0.62 * from_bass;
        let column =
            Rect::from_min_max(pos2(x - step / 2.0, rect.top() + 6.0), pos2(x + step / 2.0, rect.bottom() - 6.0));
        let drawn = Drawn { string, number, up: setting.of(number), x, top, foot, step, mark: (shown.mark)(number) };
        let selected = shown.selected == Some(number);
        string_ui(words, palette, &drawn, column, (selected, shown.does), ui, intents);
    }
}

struct Drawn<'a> {
    string: &'a HarpString,
    number: StringNumber,
    up: LeverState,
    x: f32,
    top: f32,
    foot: f32,
    step: f32,
    mark: Mark,
}

fn string_ui(
    words: Words,
    palette: &Palette,
    drawn: &Drawn<'_>,
    column: Rect,
    (selected, does): (bool, Does),
    ui: &mut Ui,
    intents: &mut Vec<Intent>,
) {
    let number = drawn.number.get();
    let sense = if does == Does::Shows { Sense::hover() } else { Sense::click() };
    let body = ui.interact(column, ui.scope_id().with(("string", number)), sense);
    let spoken = spoken(words, drawn);
    body.widget_info(|| match does {
        Does::Shows => WidgetInfo::labeled(Role::Label, true, &spoken),
        Does::Edits | Does::Asks => WidgetInfo::selected(Role::Button, true, selected, &spoken),
    });
    if body.clicked() {
        match does {
            Does::Edits => intents.push(HarpIntent::Select(drawn.number).into()),
            Does::Asks => intents.push(RegulatingIntent::Ask(drawn.number).into()),
            Does::Shows => {}
        }
    }
    if selected {
        ui.painter().rect_filled(column, theme::ROUND, palette.accent.gamma_multiply(0.16));
        ui.painter().rect_stroke(column, theme::ROUND, Stroke::new(2.0, palette.accent), StrokeKind::Inside);
    } else if does != Does::Shows && (body.hovered() || body.has_focus()) {
        ui.painter().rect_stroke(column, theme::ROUND, Stroke::new(1.5, palette.muted), StrokeKind::Inside);
    }
    if drawn.string.lever.is_fitted() && does == Does::Edits {
        let reach = vec2(drawn.step.max(18.0), 30.0);
        let lever = ui.interact(
            Rect::from_center_size(pos2(drawn.x, drawn.top + 10.0), reach).intersect(column.expand(2.0)),
            ui.scope_id().with(("lever", number)),
            Sense::click(),
        );
        let to = !drawn.up;
        let gaps = [("string", words.string(drawn.string.open).into()), ("state", names::lever_word(words, to).into())];
        let name = words.with("lever-move-spoken", gaps);
        lever.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, drawn.up == LeverState::Up, &name));
        if lever.clicked() {
            intents.push(HarpIntent::SetBefore(drawn.number, Some(to)).into());
        }
        if lever.hovered() || lever.has_focus() {
            let around = Rect::from_center_size(pos2(drawn.x, drawn.top + 10.0), vec2(22.0, 26.0));
            ui.painter().rect_stroke(around, 4.0, Stroke::new(1.5, palette.accent), StrokeKind::Outside);
        }
    }
    paint(words, palette, drawn, column, ui.painter());
}

fn spoken(words: Words, drawn: &Drawn<'_>) -> String {
    let lever = match (drawn.string.lever.is_fitted(), drawn.up) {
        (false, _) => words.text("string-no-lever"),
        (true, state) => words.with("string-lever", [("state", names::lever_word(words, state).into())]),
    };
    let gaps = [
        ("number", drawn.number.get().into()),
        ("pitch", words.pitch_spoken(drawn.string.open).into()),
        ("lever", lever.into()),
    ];
    let spoken = words.with("string-spoken", gaps);
    if drawn.mark.said.is_empty() { spoken } else { format!("{spoken}: {}", drawn.mark.said) }
}

fn paint(words: Words, palette: &Palette, drawn: &Drawn<'_>, column: Rect, painter: &Painter) {
    let &Drawn { string, number, up, x, top, foot, step, ref mark } = drawn;
    let letter = string.open.letter();
    let (colour, width) = match letter {
        Letter::C => (palette.c_string, 3.0),
        Letter::F => (palette.f_string, 3.0),
        _ => (palette.string, 1.8),
    };
    if mark.lit {
        // Broad under the string, so that it is seen beside every colour.
        painter.line_segment([pos2(x, top), pos2(x, foot)], Stroke::new(11.0, palette.flip.gamma_multiply(0.45)));
        painter.circle_filled(pos2(x, foot + 10.0), 5.0, palette.flip);
    }
    if let Some(figure) = &mark.figure {
        let at = pos2(x, column.top() + 32.0);
        let font = theme::strong((step * 0.52).clamp(12.0, 17.0));
        let drawn = painter.text(at, Align2::CENTER_CENTER, &figure.text, font, figure.ink);
        if figure.is_framed {
            painter.rect_stroke(drawn.expand2(vec2(3.0, 1.0)), 3.0, Stroke::new(1.5, figure.ink), StrokeKind::Outside);
        }
    }
    let lever_at = pos2(x, top + 12.0);
    if up == LeverState::Up {
        let aside = 4.0;
        let bent = vec![pos2(x, top - 4.0), pos2(x + aside, lever_at.y), pos2(x + aside, foot)];
        painter.line(bent, Stroke::new(width, colour));
        painter.rect_filled(Rect::from_center_size(lever_at, vec2(step.min(15.0), 15.0)), 2.0, palette.flip);
    } else {
        painter.line_segment([pos2(x, top - 4.0), pos2(x, foot)], Stroke::new(width, colour));
        if string.lever.is_fitted() {
            let mark = Rect::from_center_size(lever_at, vec2((step * 0.6).min(12.0), 8.0));
            painter.rect(mark, 2.0, palette.card, Stroke::new(1.5, palette.muted), StrokeKind::Inside);
        }
    }
    // The mark at the foot tells C and F without their colours.
    match letter {
        Letter::C => {
            painter.circle(pos2(x, foot), 4.5, palette.card, Stroke::new(2.5, colour));
        }
        Letter::F => {
            painter.rect_filled(Rect::from_center_size(pos2(x, foot), Vec2::new(11.0, 4.0)), 0.0, colour);
        }
        _ => {}
    }
    let size = (step * 0.6).clamp(11.0, 18.0);
    let font = if matches!(letter, Letter::C | Letter::F) { theme::display(size) } else { theme::text(size) };
    let ink = match letter {
        Letter::C => palette.c_string,
        Letter::F => palette.f_string,
        _ => palette.ink,
    };
    painter.text(pos2(x, column.bottom() - 30.0), Align2::CENTER_CENTER, words.note(string.open), font, ink);
    let octave = words.in_octave("", string.open);
    painter.text(
        pos2(x, column.bottom() - 11.0),
        Align2::CENTER_CENTER,
        octave,
        theme::text(size * 0.8),
        palette.muted,
    );
    if number.get() == 1 || number.get().is_multiple_of(5) {
        painter.text(
            pos2(x, column.top() + 10.0),
            Align2::CENTER_CENTER,
            number.get(),
            theme::text(size * 0.8),
            palette.muted,
        );
    }
}
