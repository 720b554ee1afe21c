//! The head: which piece, on which harp, for whose hands, at which tempo; one sentence in which every choice is made.

use eframe::egui::{Align, ComboBox, Label, Layout, RichText, Role, Ui, WidgetInfo};
use leverlane_core::harp::{Preset, Tuning};
use leverlane_core::plan::PaceLevel;

use crate::intent::Intent;
use crate::names;
use crate::shortcuts::GOAL_STEP;
use crate::state::{Origin, State};
use crate::theme;
use crate::widgets::{Weight, key_button_ui, muted};

/// Draws the head.
pub fn head_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    ui.horizontal(|ui| {
        let title = state.piece.as_ref().map_or_else(|| "Leverlane".to_owned(), |piece| piece.title());
        ui.label(RichText::new(title).font(theme::display(30.0)));
        if state.work.opening.is_some() {
            ui.spinner();
            ui.label(muted(ui, "reading …"));
        } else if state.work.planning.is_some() {
            ui.spinner();
            ui.label(muted(ui, "planning …"));
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if key_button_ui(ui, "Help", "F1", "Help", Weight::Plain).clicked() {
                intents.push(Intent::SwitchHelp);
            }
            theme_button(ui);
            if key_button_ui(ui, "Demo", "Ctrl D", "Open the demo piece", Weight::Plain).clicked() {
                intents.push(Intent::Open(Origin::Demo));
            }
            if key_button_ui(ui, "Open …", "Ctrl O", "Open a file", Weight::Plain).clicked() {
                intents.push(Intent::AskForFile);
            }
        });
    });
    if state.piece.is_some() {
        ui.horizontal_wrapped(|ui| sentence_ui(state, ui, intents));
    }
}

fn theme_button(ui: &mut Ui) {
    let dark = ui.visuals().dark_mode;
    let (word, name, next) = if dark {
        ("Light", "Switch to light colours", eframe::egui::Theme::Light)
    } else {
        ("Dark", "Switch to dark colours", eframe::egui::Theme::Dark)
    };
    if key_button_ui(ui, word, "", name, Weight::Plain).clicked() {
        ui.ctx().set_theme(next);
    }
}

fn sentence_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let wishes = &state.wishes;
    ui.label(muted(ui, "On a harp of"));
    let preset = ComboBox::from_id_salt("strings").selected_text(wishes.harp.preset.name()).show_ui(ui, |ui| {
        for preset in Preset::ALL {
            if ui.selectable_label(wishes.harp.preset == preset, preset.name()).clicked() {
                intents.push(Intent::UsePreset(preset));
            }
        }
    });
    name(&preset.response, format!("Harp: {}", wishes.harp.preset.name()));
    ui.label(muted(ui, "tuned to"));
    let tuning = ComboBox::from_id_salt("tuning").selected_text(wishes.harp.tuning.to_string()).show_ui(ui, |ui| {
        for tuning in Tuning::ALL {
            if ui.selectable_label(wishes.harp.tuning == tuning, tuning.to_string()).clicked() {
                intents.push(Intent::UseTuning(tuning));
            }
        }
    });
    name(&tuning.response, format!("Tuning: {}", wishes.harp.tuning));
    ui.label(muted(ui, "with"));
    let pace = ComboBox::from_id_salt("pace").selected_text(names::pace(wishes.pace)).show_ui(ui, |ui| {
        for pace in PaceLevel::ALL {
            if ui.selectable_label(wishes.pace == pace, names::pace(pace)).clicked() {
                intents.push(Intent::UsePace(pace));
            }
        }
    });
    name(&pace.response, format!("Pace: {} hands", names::pace(wishes.pace)));
    ui.label(muted(ui, "hands, wanted at"));
    if let Some(goal) = wishes.goal {
        if key_button_ui(ui, "−", "", "Lower the wanted tempo", Weight::Plain).clicked() {
            intents.push(Intent::ChangeGoal(-GOAL_STEP));
        }
        ui.add(Label::new(RichText::new(names::tempo(goal)).font(theme::strong(19.0))).extend());
        if key_button_ui(ui, "+", "", "Raise the wanted tempo", Weight::Plain).clicked() {
            intents.push(Intent::ChangeGoal(GOAL_STEP));
        }
    }
    if !wishes.edits.is_empty() && key_button_ui(ui, "Undo my choices", "", "Undo my choices", Weight::Plain).clicked()
    {
        intents.push(Intent::ForgetEdits);
    }
}

fn name(response: &eframe::egui::Response, name: String) {
    response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, &name));
}
