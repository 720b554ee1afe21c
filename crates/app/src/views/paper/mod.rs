//! From paper: the flips as they are said ("bar 12 beat 4: C5 up"), or the notes of both hands as ABC, drawn as they
//! are typed.

mod drawn;

use eframe::egui::{DragValue, Frame, RichText, Role, ScrollArea, TextEdit, Ui, WidgetInfo};

use super::score::Pictures;
use super::sheets::heading_ui;
use crate::intent::{FileIntent, Intent};
use crate::state::{Draft, DraftFault, DraftWay, State};
use crate::theme;
use crate::widgets::{Weight, choice_button_ui, key_button_ui, muted};
use crate::words::Words;

/// What the page remembers between frames.
#[derive(Default)]
pub struct PaperView {
    pictures: Pictures,
}

/// Draws the page.
pub fn paper_ui(state: &State, view: &mut PaperView, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    heading_ui(words, &words.text("paper"), ui, intents);
    let mut draft = state.paper.draft.clone();
    ScrollArea::vertical().show(ui, |ui| {
        ui.take_available_width();
        ui.horizontal_wrapped(|ui| head_ui(words, &mut draft, ui));
        ui.add_space(theme::NEAR);
        let fault = state.paper.read.as_ref().and_then(|read| read.as_ref().err());
        let fault_in = |text| fault.filter(|fault| fault.text == Some(text));
        match draft.way {
            DraftWay::Flips => {
                text_ui(words, &words.text("paper-flips"), &mut draft.flips, 6, fault_in(0), ui);
            }
            DraftWay::Notes => {
                text_ui(words, &words.text("paper-right"), &mut draft.right, 3, fault_in(0), ui);
                text_ui(words, &words.text("paper-left"), &mut draft.left, 3, fault_in(1), ui);
            }
        }
        ui.add_space(theme::NEAR);
        match &state.paper.read {
            Some(Ok(music)) => {
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
            Some(Err(fault)) => {
                if fault.text.is_none() {
                    ui.label(RichText::new(words.said(&fault.reason)).color(theme::palette(ui).alarm));
                }
            }
            None => {
                ui.label(muted(ui, words.text("paper-nothing")));
            }
        }
        if draft.way == DraftWay::Notes {
            ui.add_space(theme::NEAR);
            // Room for the edge of the card.
            Frame::NONE.inner_margin(5).show(ui, |ui| drawn::drawn_ui(state, &mut view.pictures, ui, intents));
        }
    });
    if draft != state.paper.draft {
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
fn text_ui(words: Words, title: &str, text: &mut String, rows: usize, fault: Option<&DraftFault>, ui: &mut Ui) {
    ui.label(RichText::new(title).font(theme::strong(19.0)));
    let edit = TextEdit::multiline(text)
        .code_editor()
        .desired_width(ui.available_width() - 8.0)
        .desired_rows(rows)
        .lock_focus(false);
    let response = ui.add(edit);
    response.widget_info(|| WidgetInfo::labeled(Role::MultilineTextInput, true, title));
    let Some(fault) = fault else { return };
    let palette = theme::palette(ui);
    let line = text.lines().nth(fault.line.saturating_sub(1)).unwrap_or_default();
    let caret = format!("{}▲", " ".repeat(fault.column.saturating_sub(1)));
    ui.label(RichText::new(line).monospace());
    ui.label(RichText::new(caret).monospace().color(palette.alarm));
    let gaps = [("line", fault.line.into()), ("reason", words.said(&fault.reason).into())];
    ui.label(RichText::new(words.with("paper-fault", gaps)).color(palette.alarm));
}
