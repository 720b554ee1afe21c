//! What this program is, its version, and whose work is inside.

use eframe::egui::{Label, RichText, ScrollArea, Ui};

use super::sheets::heading_ui;
use crate::intent::Intent;
use crate::state::State;
use crate::theme;
use crate::widgets::{Weight, key_button_ui};

/// Whose work is inside the programs, and under which licences.
const NOTICE: &str = include_str!("../../../../NOTICE");

/// How the paragraph begins that is for whoever builds the program.
const FOR_BUILDERS: &str = "This file is written by";

/// Draws the page.
pub(super) fn about_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    heading_ui(words, &words.text("about"), ui, intents);
    let version = words.with("help-version", [("version", env!("CARGO_PKG_VERSION").into())]);
    ui.label(RichText::new(&version).font(theme::strong(20.0)));
    ui.label(words.text("welcome-what"));
    let copy = words.text("about-copy");
    if key_button_ui(ui, &copy, "", &copy, Weight::Plain).clicked() {
        intents.push(Intent::Copy(format!("{version}\n\n{NOTICE}")));
    }
    ui.add_space(theme::NEAR);
    ScrollArea::vertical().show(ui, |ui| {
        ui.take_available_width();
        let told = |paragraph: &&str| !paragraph.is_empty() && !paragraph.starts_with(FOR_BUILDERS);
        for paragraph in NOTICE.split("\n\n").map(str::trim).filter(told) {
            ui.add(Label::new(RichText::new(paragraph).font(theme::text(16.0))).wrap().selectable(true));
            ui.add_space(theme::NEAR);
        }
    });
}
