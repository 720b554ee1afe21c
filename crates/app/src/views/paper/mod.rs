//! From paper: the flips as they are said ("bar 12 beat 4: C5 up"), or the notes of both hands as ABC.

use eframe::egui::{DragValue, RichText, Role, ScrollArea, TextEdit, Ui, WidgetInfo};

use super::sheets::heading_ui;
use crate::intent::{FileIntent, Intent};
use crate::state::{Draft, DraftFault, DraftWay, State};
use crate::theme;
use crate::widgets::{Weight, choice_button_ui, key_button_ui, muted};
use crate::words::Words;

/// Draws the page.
pub fn paper_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    heading_ui(words, &words.text("paper"), ui, intents);
    let mut draft = state.draft.clone();
    ScrollArea::vertical().show(ui, |ui| {
        ui.take_available_width();
        ui.horizontal_wrapped(|ui| head_ui(words, &mut draft, ui));
        ui.add_space(theme::NEAR);
        let read = draft.read(words);
        let fault = read.as_ref().err();
        match draft.way {
            DraftWay::Flips => {
                text_ui(words, &words.text("paper-flips"), &mut draft.flips, 0, fault, ui);
            }
            DraftWay::Notes => {
                text_ui(words, &words.text("paper-right"), &mut draft.right, 0, fault, ui);
                text_ui(words, &words.text("paper-left"), &mut draft.left, 1, fault, ui);
            }
        }
        ui.add_space(theme::NEAR);
        let is_empty = draft.flips.trim().is_empty() && draft.right.trim().is_empty() && draft.left.trim().is_empty();
        match &read {
            Ok(music) if !is_empty => {
                let flips = music.flips.as_ref().map_or(0, Vec::len);
                let gaps = [
                    ("bars", music.score.bars().len().into()),
                    ("notes", music.score.notes().count().into()),
                    ("flips", flips.into()),
                ];
                let said = match draft.way {
                    DraftWay::Flips => words.with("paper-read-flips", gaps),
                    DraftWay::Notes => words.with("paper-read-notes", gaps),
                };
                ui.label(said);
                let make = words.text("paper-make");
                if key_button_ui(ui, &make, "", &make, Weight::Main).clicked() {
                    intents.push(FileIntent::MakeDraft.into());
                }
            }
            Err(fault) if !is_empty && fault.text.is_none() => {
                ui.label(RichText::new(&fault.reason).color(theme::palette(ui).alarm));
            }
            _ => {
                ui.label(muted(ui, words.text("paper-nothing")));
            }
        }
    });
    if draft != state.draft {
        intents.push(FileIntent::ChangeDraft(Box::new(draft)).into());
    }
}

/// Title, meter, tempo, key; how many bars.
fn head_ui(words: Words, draft: &mut Draft, ui: &mut Ui) {
    for (way, said) in
        [(DraftWay::Flips, words.text("paper-way-flips")), (DraftWay::Notes, words.text("paper-way-notes"))]
    {
        if choice_button_ui(ui, &said, &said, draft.way == way) {
            draft.way = way;
        }
    }
    ui.end_row();
    let name = |response: eframe::egui::Response, said: String| {
        response.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, &said));
    };
    let said = words.text("paper-title");
    ui.label(muted(ui, &said));
    name(ui.add(TextEdit::singleline(&mut draft.title).desired_width(260.0)), said);
    for (index, (above, below)) in Draft::METERS.into_iter().enumerate() {
        let said = format!("{above}/{below}");
        if choice_button_ui(ui, &said, &said, draft.meter == index) {
            draft.meter = index;
        }
    }
    let said = words.text("paper-tempo");
    ui.label(muted(ui, &said));
    name(ui.add(DragValue::new(&mut draft.per_minute).range(20.0..=240.0).speed(1.0).fixed_decimals(0)), said);
    let said = words.text("paper-key");
    ui.label(muted(ui, &said));
    name(ui.add(DragValue::new(&mut draft.fifths).range(-7..=7).speed(0.1)), said);
    if draft.way == DraftWay::Flips {
        let said = words.text("paper-bars");
        ui.label(muted(ui, &said));
        name(ui.add(DragValue::new(&mut draft.bars).range(1..=999).speed(0.2)), said);
    }
}

/// A text with what is wrong in it under the very place.
fn text_ui(words: Words, title: &str, text: &mut String, place: usize, fault: Option<&DraftFault>, ui: &mut Ui) {
    ui.label(RichText::new(title).font(theme::strong(19.0)));
    let edit = TextEdit::multiline(text)
        .code_editor()
        .desired_width(ui.available_width() - 8.0)
        .desired_rows(6)
        .lock_focus(false);
    let response = ui.add(edit);
    response.widget_info(|| WidgetInfo::labeled(Role::MultilineTextInput, true, title));
    let Some(fault) = fault.filter(|fault| fault.text == Some(place)) else { return };
    let palette = theme::palette(ui);
    let line = text.lines().nth(fault.line.saturating_sub(1)).unwrap_or_default();
    let caret = format!("{}▲", " ".repeat(fault.column.saturating_sub(1)));
    ui.label(RichText::new(line).monospace());
    ui.label(RichText::new(caret).monospace().color(palette.alarm));
    let gaps = [("line", fault.line.into()), ("reason", fault.reason.clone().into())];
    ui.label(RichText::new(words.with("paper-fault", gaps)).color(palette.alarm));
}
