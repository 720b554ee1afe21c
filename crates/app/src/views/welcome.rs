//! What stands in the window before a piece is there.

use eframe::egui::{RichText, Ui};

use crate::intent::{FileIntent, Intent};
use crate::keys::Action;
use crate::names;
use crate::state::{Origin, Sheet, State};
use crate::theme;
use crate::widgets::{Weight, key_button_ui, muted};

/// Draws the page.
pub fn welcome_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let waiting = state.work.opening.is_some() || state.work.planning.is_some();
    ui.vertical_centered(|ui| {
        ui.add_space((ui.available_height() * 0.22).max(20.0));
        if waiting {
            ui.label(RichText::new(words.text("welcome-waiting")).font(theme::strong(30.0)));
            return;
        }
        ui.label(RichText::new(words.text("welcome-question")).font(theme::display(40.0)));
        ui.add_space(theme::NEAR);
        ui.label(muted(ui, words.text("welcome-what")).font(theme::text(20.0)));
        ui.add_space(theme::FAR * 1.5);
        let (open, spoken) = (words.text("welcome-open"), words.text("welcome-open-spoken"));
        if key_button_ui(ui, &open, &names::hint(state, Action::Open), &spoken, Weight::Main).clicked() {
            intents.push(FileIntent::Ask.into());
        }
        ui.add_space(theme::NEAR);
        let paper = words.text("welcome-paper");
        if key_button_ui(ui, &paper, &names::hint(state, Action::Paper), &paper, Weight::Plain).clicked() {
            intents.push(Intent::Switch(Sheet::Paper));
        }
        ui.add_space(theme::NEAR);
        let demo = words.text("welcome-demo");
        if key_button_ui(ui, &demo, &names::hint(state, Action::Demo), &demo, Weight::Plain).clicked() {
            intents.push(FileIntent::Open(Origin::Demo).into());
        }
        ui.add_space(theme::FAR);
        ui.label(muted(ui, words.text("welcome-formats")));
    });
}
