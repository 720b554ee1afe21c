//! The Diary: what has been practised.

use eframe::egui::{RichText, Ui};

use crate::intent::Intent;
use crate::state::{Place, State};
use crate::theme;
use crate::widgets::{Weight, key_button_ui, muted};

/// Draws the place.
pub fn diary_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    ui.vertical_centered(|ui| {
        ui.add_space((ui.available_height() * 0.25).max(20.0));
        ui.label(RichText::new(words.text("diary-empty-title")).font(theme::display(36.0)));
        ui.add_space(theme::NEAR);
        ui.label(muted(ui, words.text("diary-empty")).font(theme::text(20.0)));
        ui.add_space(theme::FAR);
        let go = words.text("diary-go");
        if key_button_ui(ui, &go, "Ctrl 3", &go, Weight::Main).clicked() {
            intents.push(Intent::Go(Place::Drill));
        }
    });
}
