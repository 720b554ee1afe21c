//! Which key does what, and how to have it otherwise.

use eframe::egui::{Grid, RichText, ScrollArea, Ui};

use super::sheets::heading_ui;
use crate::intent::{Intent, SettingsIntent};
use crate::keys::Action;
use crate::names;
use crate::state::State;
use crate::theme;
use crate::widgets::{Weight, key_button_ui, muted};

/// Draws the table; while a key is waited for, its row says so.
pub(super) fn key_table_ui(state: &State, wanted: Option<Action>, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let (words, keys) = (state.words(), &state.settings.keys);
    heading_ui(words, &words.text("keys"), ui, intents);
    ui.label(muted(ui, words.text("keys-what")));
    let usual = words.text("keys-usual");
    if key_button_ui(ui, &usual, "", &usual, Weight::Plain).clicked() {
        intents.push(SettingsIntent::UsualKeys.into());
    }
    ui.add_space(theme::NEAR);
    ScrollArea::vertical().show(ui, |ui| {
        ui.take_available_width();
        Grid::new("table of keys").num_columns(3).spacing([28.0, 8.0]).striped(true).show(ui, |ui| {
            for action in Action::all() {
                let does = words.text(&format!("action-{}", action.code()));
                ui.label(&does);
                let shown: Vec<String> = keys.of_action(action).map(|binding| names::key(words, binding)).collect();
                let shown = match shown.is_empty() {
                    _ if wanted == Some(action) => words.text("keys-wanted"),
                    true => words.text("keys-none"),
                    false => shown.join(", "),
                };
                ui.label(RichText::new(shown).font(theme::strong(18.0)));
                let (change, spoken) =
                    (words.text("keys-change"), words.with("keys-change-spoken", [("action", does.into())]));
                // Whatever is open must be closable.
                let fixed = action == Action::Escape;
                if !fixed && key_button_ui(ui, &change, "", &spoken, Weight::Plain).clicked() {
                    intents.push(SettingsIntent::WantKey(Some(action)).into());
                }
                ui.end_row();
            }
        });
    });
}
