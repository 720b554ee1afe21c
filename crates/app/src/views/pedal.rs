//! Choosing a pedal that speaks MIDI, in the settings.

use eframe::egui::{RichText, Ui};

use crate::intent::{Intent, MidiIntent};
use crate::state::{MidiStanding, State};
use crate::theme;
use crate::widgets::{Weight, choice_button_ui, key_button_ui, muted};

/// Draws the devices in a row, the chosen one filled, and how it stands with it.
pub(super) fn midi_pedal_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let (words, chosen) = (state.words(), &state.settings.midi_pedal);
    let title = words.text("settings-midi");
    ui.label(RichText::new(&title).font(theme::strong(19.0)));
    ui.horizontal_wrapped(|ui| {
        let away = chosen.iter().filter(|name| !state.midi.devices.contains(name));
        let devices = std::iter::once(None).chain(away.chain(&state.midi.devices).map(Some));
        for device in devices {
            let label = device.cloned().unwrap_or_else(|| words.text("midi-none"));
            if choice_button_ui(ui, &label, &format!("{title}: {label}"), device == chosen.as_ref()) {
                intents.push(MidiIntent::Use(device.cloned()).into());
            }
        }
        let look = words.text("midi-look");
        if key_button_ui(ui, &look, "", &look, Weight::Plain).clicked() {
            intents.push(MidiIntent::LookForDevices.into());
        }
    });
    let said = match &state.midi.standing {
        MidiStanding::Apart => words.text("midi-what"),
        MidiStanding::Joined => words.text("midi-joined"),
        MidiStanding::Failed(reason) => words.said(reason),
    };
    ui.label(muted(ui, said));
    ui.add_space(theme::NEAR);
}
