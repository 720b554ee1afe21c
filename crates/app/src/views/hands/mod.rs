//! The page that says who plays what: which parts are the harp, which part is kept as a cue line, and which hand plays
//! which notes, in the whole piece and in some bars.
//!
//! [`model`] says what is chosen and what each choice comes to.

pub mod model;

use eframe::egui::{ComboBox, RichText, Role, ScrollArea, TextEdit, Ui, WidgetInfo};
use leverlane_core::pitch::SpelledPitch;
use leverlane_core::score::{BarIndex, HandWay};

use super::sheets::heading_ui;
use crate::intent::{Intent, PlanIntent};
use crate::state::{Piece, State};
use crate::theme;
use crate::widgets::{Weight, key_button_ui, muted};
use crate::words::Words;
use model::{HandsModel, next_string, way_in_words, ways};

/// What is typed for bars that are to have hands of their own.
pub struct HandsView {
    from: String,
    to: String,
    way: HandWay,
}

impl Default for HandsView {
    fn default() -> HandsView {
        HandsView { from: String::new(), to: String::new(), way: HandWay::Staff }
    }
}

/// Draws the page.
pub fn hands_ui(state: &State, view: &mut HandsView, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    heading_ui(words, &words.text("hands"), ui, intents);
    let Some(piece) = &state.piece else { return };
    let model = HandsModel::new(words, piece, &state.wishes);
    ScrollArea::vertical().show(ui, |ui| {
        ui.take_available_width();
        parts_ui(words, &model, ui, intents);
        cue_line_ui(words, &model, ui, intents);
        whole_piece_ui(words, piece, &model, ui, intents);
        ranges_ui(words, piece, &model, view, ui, intents);
    });
}

fn title_ui(title: &str, ui: &mut Ui) {
    ui.label(RichText::new(title).font(theme::strong(19.0)));
}

/// The harp's parts, each with a check mark; the last one stays.
fn parts_ui(words: Words, model: &HandsModel, ui: &mut Ui, intents: &mut Vec<Intent>) {
    title_ui(&words.text("hands-parts"), ui);
    for (index, part) in model.parts.iter().enumerate() {
        let with_part = model.with_part(index);
        ui.add_enabled_ui(with_part.is_some(), |ui| {
            let mut is_harp = part.is_harp;
            let name = words.with("hands-part-spoken", [("part", part.name.clone().into())]);
            let response = ui.checkbox(&mut is_harp, &part.name);
            response.widget_info(|| WidgetInfo::selected(Role::CheckBox, with_part.is_some(), part.is_harp, &name));
            if let Some(rule) = with_part.filter(|_| response.clicked()) {
                intents.push(PlanIntent::UseHands(rule).into());
            }
        });
    }
    ui.add_space(theme::NEAR);
}

/// Which other part is kept as a cue line; nothing where the harp plays all parts.
fn cue_line_ui(words: Words, model: &HandsModel, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let others: Vec<usize> = (0..model.parts.len()).filter(|&part| !model.parts[part].is_harp).collect();
    if others.is_empty() {
        return;
    }
    title_ui(&words.text("hands-cue-line"), ui);
    ui.label(muted(ui, words.text("hands-cue-line-what")));
    for choice in [None].into_iter().chain(others.into_iter().map(Some)) {
        let label = choice.map_or_else(|| words.text("hands-cue-line-none"), |part| model.parts[part].name.clone());
        let is_chosen = model.cue_line == choice;
        let name = words.with("hands-cue-line-spoken", [("part", label.clone().into())]);
        let response = ui.radio(is_chosen, &label);
        response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, is_chosen, &name));
        if response.clicked() && !is_chosen {
            intents.push(PlanIntent::UseCueLine(choice).into());
        }
    }
    ui.add_space(theme::NEAR);
}

fn whole_piece_ui(words: Words, piece: &Piece, model: &HandsModel, ui: &mut Ui, intents: &mut Vec<Intent>) {
    title_ui(&words.text("hands-whole"), ui);
    ui.horizontal_wrapped(|ui| {
        if let Some(way) = way_ui(words, "hands-whole-spoken", model.rule.way(), ui) {
            intents.push(PlanIntent::UseHands(model.rule.with_way(&piece.score, way)).into());
        }
    });
    ui.label(muted(ui, &model.comes_to));
    ui.add_space(theme::NEAR);
}

/// The bars that have hands of their own, and a line to add more.
fn ranges_ui(
    words: Words,
    piece: &Piece,
    model: &HandsModel,
    view: &mut HandsView,
    ui: &mut Ui,
    intents: &mut Vec<Intent>,
) {
    title_ui(&words.text("hands-bars"), ui);
    for (index, range) in model.ranges.iter().enumerate() {
        ui.horizontal_wrapped(|ui| {
            ui.label(range);
            let name = words.with("hands-bars-remove-spoken", [("range", range.clone().into())]);
            if key_button_ui(ui, &words.text("hands-bars-remove"), "", &name, Weight::Plain).clicked() {
                intents.push(PlanIntent::UseHands(model.rule.without_range(index)).into());
            }
        });
    }
    ui.horizontal_wrapped(|ui| {
        for (key, text) in [("hands-from", &mut view.from), ("hands-to", &mut view.to)] {
            let name = words.text(key);
            ui.label(muted(ui, &name));
            let response = ui.add(TextEdit::singleline(text).desired_width(60.0));
            response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, &name));
        }
        if let Some(way) = way_ui(words, "hands-bars-spoken", view.way, ui) {
            view.way = way;
        }
        let named = bars_named(piece, view);
        ui.add_enabled_ui(named.is_some(), |ui| {
            let add = words.text("hands-bars-add");
            let clicked = key_button_ui(ui, &add, "", &add, Weight::Plain).clicked();
            if let Some((first, last)) = named.filter(|_| clicked) {
                let rule = view.way.rule(&piece.score, Some(&model.rule.parts(&piece.score)));
                intents.push(PlanIntent::UseHands(model.rule.clone().with_bars(first, last, rule)).into());
                (view.from, view.to) = (String::new(), String::new());
            }
        });
        let typed = !view.from.trim().is_empty() && !view.to.trim().is_empty();
        if typed && named.is_none() {
            let number = |bar: usize| piece.score.bars().get(bar).map_or("", |bar| bar.number.trim()).to_owned();
            let last = piece.score.bars().len().saturating_sub(1);
            let gaps = [("first", number(0).into()), ("last", number(last).into())];
            ui.label(RichText::new(words.with("hands-no-such-bars", gaps)).color(theme::palette(ui).alarm));
        }
    });
}

/// The bars that are typed, by their printed numbers, if the piece has them in this order.
fn bars_named(piece: &Piece, view: &HandsView) -> Option<(BarIndex, BarIndex)> {
    let first = piece.score.bar_numbered(&view.from, BarIndex::new(0))?;
    Some((first, piece.score.bar_numbered(&view.to, first)?))
}

/// A choice among the ways of giving notes to hands, and where it is by pitch the pitch; what is chosen anew, if anything
/// is.
fn way_ui(words: Words, spoken: &str, present: HandWay, ui: &mut Ui) -> Option<HandWay> {
    let mut chosen = None;
    let label = way_in_words(words, present);
    let shown = ComboBox::from_id_salt(spoken).width(280.0).selected_text(&label).show_ui(ui, |ui| {
        for way in ways(present) {
            if ui.selectable_label(way == present, way_in_words(words, way)).clicked() && way != present {
                chosen = Some(way);
            }
        }
    });
    let name = words.with(spoken, [("way", label.into())]);
    shown.response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &name));
    if let HandWay::SplitAt(pitch) = present {
        let mut step = |sign: &str, name: &str, to: Option<SpelledPitch>, ui: &mut Ui| {
            ui.add_enabled_ui(to.is_some(), |ui| {
                let clicked = key_button_ui(ui, sign, "", &words.text(name), Weight::Plain).clicked();
                if let Some(pitch) = to.filter(|_| clicked) {
                    chosen = Some(HandWay::SplitAt(pitch));
                }
            });
        };
        step("−", "hands-split-lower", next_string(pitch, -1), ui);
        step("+", "hands-split-raise", next_string(pitch, 1), ui);
    }
    chosen
}
