//! The Harp: which harp the piece is played on, string by string.
//!
//! At the top the harp in a sentence ([`choice`]), in the middle the harp itself with every string and lever
//! ([`picture`]), at the foot the string that was chosen ([`string`]).

mod choice;
pub mod picture;
mod string;

pub use choice::harp_choice_ui;

use eframe::egui::{CentralPanel, Frame, Margin, Panel, Ui};
use leverlane_core::harp::{Setting, StringNumber};

use crate::intent::Intent;
use crate::state::State;
use crate::theme;
use picture::{Does, Mark, Shown, picture_ui};

/// Draws the place.
pub fn harp_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let ground = Frame::NONE.fill(theme::palette(ui).ground);
    Panel::top("harp head")
        .frame(ground.inner_margin(Margin { left: 22, right: 22, top: 0, bottom: 8 }))
        .show_separator_line(false)
        .show(ui, |ui| choice::choice_ui(state, ui, intents));
    Panel::bottom("harp foot")
        .frame(ground.inner_margin(Margin::symmetric(22, 12)))
        .show_separator_line(false)
        .show(ui, |ui| string::string_ui(state, ui, intents));
    CentralPanel::default()
        .frame(ground.inner_margin(Margin::symmetric(22, 4)))
        .show(ui, |ui| own_ui(state, ui, intents));
}

/// The harp as it is set for the open piece; strings light as the microphone hears them.
fn own_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let harp = state.wishes.harp.harp();
    let setting = match &state.plan {
        Some(planned) if planned.harp.strings().len() == harp.strings().len() => planned.plan.start.clone(),
        _ => Setting::all_down(&harp),
    };
    let mark = |number: StringNumber| {
        let note = harp.string(number).map(|string| string.sounds(setting.of(number)).midi());
        Mark { lit: state.listening.strings.iter().any(|heard| Some(heard.note) == note), ..Mark::default() }
    };
    let (selected, does) = (state.harp.selected, Does::Edits);
    picture_ui(state, &Shown { harp: &harp, setting: setting.clone(), selected, does, mark: &mark }, ui, intents);
}
