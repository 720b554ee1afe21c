//! The list of flips and problems.

mod model;

pub use model::{Entry, FlipLine, FlipsModel, ProblemLine, RepeatLine, Way};

use eframe::egui::{
    Align2, Color32, Frame, Margin, Response, RichText, Role, ScrollArea, Sense, Stroke, StrokeKind, Ui, Vec2,
    WidgetInfo, pos2,
};

use crate::intent::{DrillIntent, Intent, PlanIntent};
use crate::state::{Piece, Planned, State};
use crate::theme;
use crate::widgets::{MarkState, Weight, flip_mark_size, key_button_ui, muted, paint_flip_mark};
use crate::words::Words;

/// The type size of the marks.
const MARK_SIZE: f32 = 21.0;
/// The height of a line of text.
const LINE: f32 = 23.0;
/// Inside an entry's edge.
const PADDING: f32 = 12.0;

/// What the list remembers between frames.
#[derive(Default)]
pub struct FlipsView {
    revision: u64,
    model: FlipsModel,
    shown: Option<usize>,
    problem: Option<usize>,
}

/// Draws the list.
pub fn flips_ui(
    state: &State,
    piece: &Piece,
    planned: &Planned,
    view: &mut FlipsView,
    ui: &mut Ui,
    intents: &mut Vec<Intent>,
) {
    let words = state.words();
    if view.revision != state.revision {
        view.revision = state.revision;
        view.model = FlipsModel::new(words, piece, planned);
        view.problem = view.problem.filter(|&shown| shown < view.model.problems.len());
    }
    let mut scroll_to = state.drill.selected.filter(|_| view.shown != state.drill.selected).map(Entry::Flip);
    view.shown = state.drill.selected;
    ui.horizontal(|ui| {
        ui.label(RichText::new(&view.model.heading).font(theme::strong(22.0)));
        if !view.model.problems.is_empty() {
            let count = view.model.problems.len();
            let name = words.with("flips-problems", [("count", count.into())]);
            if key_button_ui(ui, &name, "", &name, Weight::Plain).clicked() {
                let next = view.problem.map_or(0, |shown| (shown + 1) % count);
                view.problem = Some(next);
                scroll_to = Some(Entry::Problem(next));
            }
        }
    });
    if !view.model.remark.is_empty() {
        ui.label(muted(ui, &view.model.remark));
    }
    ui.label(muted(ui, &view.model.proof));
    ui.add_space(4.0);
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        for &entry in &view.model.entries {
            let response = match entry {
                Entry::Repeat(index) => repeat_ui(&view.model.repeats[index], ui),
                Entry::Problem(index) => problem_ui(words, &view.model.problems[index], ui, intents),
                Entry::Flip(index) => {
                    let response = line_ui(&view.model.flips[index], state.drill.selected == Some(index), ui);
                    if response.clicked() {
                        intents.push(DrillIntent::Select(index).into());
                    }
                    response
                }
            };
            if scroll_to == Some(entry) {
                response.scroll_to_me(None);
            }
        }
    });
}

fn line_ui(line: &FlipLine, is_selected: bool, ui: &mut Ui) -> Response {
    let palette = theme::palette(ui);
    let width = ui.available_width() - 8.0;
    let shows_time = is_selected || line.mark.is_rushed;
    let mark = flip_mark_size(ui.painter(), &line.mark, MARK_SIZE);
    let place = ui.painter().layout_no_wrap(line.place.clone(), theme::strong(18.0), palette.ink);
    // A wide mark has its line to itself.
    let own_line = mark.x + place.size().x + 3.0 * PADDING > width;
    let below = if own_line { LINE } else { 0.0 };
    let height = 60.0 + below + if shows_time { LINE } else { 0.0 };
    let (rect, response) = ui.allocate_exact_size(Vec2::new(width, height), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, is_selected, &line.spoken));
    if !ui.is_rect_visible(rect) {
        return response;
    }
    let painter = ui.painter_at(rect);
    let edge = match (is_selected, response.hovered() || response.has_focus()) {
        (true, _) => Stroke::new(2.5, palette.accent),
        (false, true) => Stroke::new(1.5, palette.muted),
        (false, false) => Stroke::new(1.0, palette.line),
    };
    painter.rect(rect, theme::ROUND, palette.card, edge, StrokeKind::Inside);
    let state = if is_selected { MarkState::Foremost } else { MarkState::Ordinary };
    let (left, right) = (rect.left() + PADDING, rect.right() - PADDING);
    paint_flip_mark(&painter, palette, pos2(left, rect.top() + 30.0), &line.mark, MARK_SIZE, state);
    let first = rect.top() + 8.0 + if own_line { 2.0 * LINE } else { 0.0 };
    let second = if own_line { first } else { first + LINE };
    let place_left = if own_line { left } else { right - place.size().x };
    painter.galley(pos2(place_left, first), place, palette.ink);
    painter.text(pos2(right, second), Align2::RIGHT_TOP, &line.top_tempo, theme::text(16.5), palette.muted);
    if shows_time {
        let ink = if line.mark.is_rushed { palette.alarm } else { palette.muted };
        painter.text(pos2(left, rect.bottom() - 7.0), Align2::LEFT_BOTTOM, &line.time, theme::text(16.5), ink);
    }
    response
}

/// A card of the list's width; what stands in it lies close together.
fn card_ui(ui: &mut Ui, fill: Color32, stroke: Stroke, contents: impl FnOnce(&mut Ui)) -> Response {
    let frame =
        Frame::NONE.fill(fill).stroke(stroke).corner_radius(theme::ROUND).inner_margin(Margin::symmetric(12, 8));
    let width = ui.available_width() - 8.0;
    let shown = frame.show(ui, |ui| {
        ui.set_width(width - 27.0);
        ui.spacing_mut().item_spacing.y = 4.0;
        contents(ui);
    });
    shown.response
}

fn problem_ui(words: Words, problem: &ProblemLine, ui: &mut Ui, intents: &mut Vec<Intent>) -> Response {
    let palette = theme::palette(ui);
    card_ui(ui, palette.card, Stroke::new(1.5, palette.alarm), |ui| {
        ui.horizontal(|ui| {
            ui.label(RichText::new(&problem.place).font(theme::strong(17.0)).color(palette.alarm));
            if let Some(flip) = problem.flip
                && show_ui(words, &problem.place, ui)
            {
                intents.push(DrillIntent::Select(flip).into());
            }
        });
        ui.label(&problem.words);
        for Way { problem: index, way, words: told } in &problem.ways_out {
            if key_button_ui(ui, told, "", &format!("{}: {told}", problem.place), Weight::Plain).clicked() {
                intents.push(PlanIntent::TakeWayOut { problem: *index, way: *way }.into());
            }
        }
        if problem.ways_out.is_empty() {
            ui.label(muted(ui, words.text("problem-no-way")));
        }
    })
}

fn repeat_ui(repeat: &RepeatLine, ui: &mut Ui) -> Response {
    let palette = theme::palette(ui);
    card_ui(ui, palette.ground, Stroke::new(1.0, palette.line), |ui| {
        ui.label(RichText::new(&repeat.place).font(theme::strong(17.0)));
        for told in &repeat.told {
            ui.label(told);
        }
    })
}

fn show_ui(words: Words, place: &str, ui: &mut Ui) -> bool {
    let name = words.with("problem-show-named", [("place", place.to_owned().into())]);
    key_button_ui(ui, &words.text("problem-show"), "", &name, Weight::Plain).clicked()
}
