//! A question that must be answered before anything else happens.

use eframe::egui::{Align2, Area, Frame, Id, Label, Margin, Order, RichText, Stroke, Ui};

use crate::intent::{Answer, FileIntent, Intent};
use crate::state::{Question, State};
use crate::theme;
use crate::widgets::{Weight, key_button_ui, muted};

/// Draws the question in front of everything, if there is one.
pub fn question_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let Some(question) = &state.question else { return };
    let palette = theme::palette(ui);
    let window = ui.ctx().content_rect();
    // What lies behind can be seen but not reached.
    let layer = eframe::egui::LayerId::new(Order::Middle, Id::unique("question shade"));
    ui.ctx().layer_painter(layer).rect_filled(window, 0.0, palette.ground.gamma_multiply(0.75));
    Area::new(Id::unique("question")).order(Order::Foreground).anchor(Align2::CENTER_CENTER, [0.0, 0.0]).show(
        ui.ctx(),
        |ui| {
            Frame::NONE
                .fill(palette.card)
                .stroke(Stroke::new(2.0, palette.accent))
                .corner_radius(theme::ROUND)
                .inner_margin(Margin::same(24))
                .show(ui, |ui| {
                    ui.set_max_width(620.0);
                    match question {
                        Question::SaveFirst(_) => save_first_ui(state, ui, intents),
                        Question::Recover(pieces) => recover_ui(state, pieces, ui, intents),
                    }
                });
        },
    );
}

fn save_first_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let title = state.piece.as_ref().map(|piece| piece.title(words)).unwrap_or_default();
    let asked = words.with("question-save", [("title", title.into())]);
    ui.label(RichText::new(asked).font(theme::display(26.0)));
    ui.label(muted(ui, words.text("question-save-why")));
    ui.add_space(theme::FAR);
    ui.horizontal(|ui| {
        for (answer, text, key, weight) in [
            (Answer::Save, words.text("question-save-yes"), "Enter", Weight::Main),
            (Answer::Discard, words.text("question-save-no"), "", Weight::Plain),
            (Answer::Cancel, words.text("question-cancel"), "Esc", Weight::Plain),
        ] {
            if key_button_ui(ui, &text, key, &text, weight).clicked() {
                intents.push(FileIntent::Answer(answer).into());
            }
        }
    });
}

fn recover_ui(state: &State, pieces: &[(std::path::PathBuf, String)], ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    ui.label(RichText::new(words.text("question-recover")).font(theme::display(26.0)));
    ui.label(muted(ui, words.text("question-recover-why")));
    ui.add_space(theme::NEAR);
    for (index, (file, title)) in pieces.iter().enumerate() {
        let (text, weight) = (
            words.with("question-recover-yes", [("title", title.clone().into())]),
            if index == 0 { Weight::Main } else { Weight::Plain },
        );
        if key_button_ui(ui, &text, if index == 0 { "Enter" } else { "" }, &text, weight).clicked() {
            intents.push(FileIntent::Answer(Answer::Recover(file.clone())).into());
        }
    }
    ui.add_space(theme::NEAR);
    ui.horizontal(|ui| {
        for (answer, text, key) in [
            (Answer::Cancel, words.text("question-recover-later"), "Esc"),
            (Answer::Discard, words.text("question-recover-no"), ""),
        ] {
            if key_button_ui(ui, &text, key, &text, Weight::Plain).clicked() {
                intents.push(FileIntent::Answer(answer).into());
            }
        }
    });
    ui.add(Label::new(muted(ui, words.text("question-recover-safe"))).wrap());
}
