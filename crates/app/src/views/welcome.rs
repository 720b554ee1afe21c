//! What stands in the window before a piece is there.

use eframe::egui::{RichText, Ui};

use crate::intent::Intent;
use crate::state::{Origin, State};
use crate::theme;
use crate::widgets::{Weight, key_button_ui, muted};

/// Draws the page.
pub fn welcome_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let waiting = state.work.opening.is_some() || state.work.planning.is_some();
    ui.vertical_centered(|ui| {
        ui.add_space((ui.available_height() * 0.22).max(20.0));
        if waiting {
            ui.label(RichText::new("One moment: finding the flips …").font(theme::strong(30.0)));
            return;
        }
        ui.label(RichText::new("Which piece shall it be?").font(theme::display(40.0)));
        ui.add_space(theme::NEAR);
        ui.label(
            muted(ui, "Leverlane finds the lever flips in a score for your harp and loops each one until it sits.")
                .font(theme::text(20.0)),
        );
        ui.add_space(theme::FAR * 1.5);
        if key_button_ui(ui, "Open a score …", "Ctrl O", "Open a score", Weight::Main).clicked() {
            intents.push(Intent::AskForFile);
        }
        ui.add_space(theme::NEAR);
        if key_button_ui(ui, "Try the demo piece", "Ctrl D", "Try the demo piece", Weight::Plain).clicked() {
            intents.push(Intent::Open(Origin::Demo));
        }
        ui.add_space(theme::FAR);
        ui.label(muted(ui, "MusicXML (.musicxml, .xml, .mxl), MIDI or ABC; you can also drop a file on this window."));
    });
}
