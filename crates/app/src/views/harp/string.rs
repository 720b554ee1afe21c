//! The foot of the Harp place: the chosen string, and what can be changed about it.

use eframe::egui::{RichText, Ui};
use leverlane_core::harp::{LeverState, StringNumber};
use leverlane_core::pitch::SpelledPitch;
use leverlane_core::plan::Edit;

use crate::intent::{Fitting, HarpIntent, Intent};
use crate::names;
use crate::state::State;
use crate::theme;
use crate::widgets::{choice_button_ui, muted};

/// Draws the foot.
pub fn string_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let harp = state.wishes.harp.harp();
    let chosen = state.harp.selected.and_then(|number| harp.string(number).map(|string| (number, string.clone())));
    let Some((number, string)) = chosen else {
        ui.label(RichText::new(words.text("string-choose")).font(theme::strong(20.0)));
        ui.label(muted(ui, words.text("string-caution")));
        return;
    };
    ui.horizontal_wrapped(|ui| {
        let gaps = [("number", number.get().into()), ("name", words.string(string.open).into())];
        ui.label(RichText::new(words.with("string-heading", gaps)).font(theme::strong(20.0)));
        ui.add_space(theme::NEAR);
        ui.label(muted(ui, words.text("string-open")));
        for alter in [-1, 0, 1] {
            let Ok(pitch) = SpelledPitch::new(string.open.letter(), alter, string.open.octave()) else { continue };
            let is_so = string.open.alter() == alter;
            let name = words.with("string-open-spoken", [("pitch", words.pitch_spoken(pitch).into())]);
            if choice_button_ui(ui, &words.note(pitch), &name, is_so) {
                intents.push(HarpIntent::Tune(number, alter).into());
            }
        }
        ui.add_space(theme::NEAR);
        ui.label(muted(ui, words.text("string-has")));
        let fitted = string.lever.is_fitted();
        for fitting in [Fitting::Lever, Fitting::NoLever] {
            let said = match fitting {
                Fitting::Lever => words.text("string-has-lever"),
                Fitting::NoLever => words.text("string-has-none"),
            };
            if choice_button_ui(ui, &said, &said, fitted == (fitting == Fitting::Lever)) {
                intents.push(HarpIntent::Fit(number, fitting).into());
            }
        }
        if fitted && state.piece.is_some() {
            ui.add_space(theme::NEAR);
            before_ui(state, number, ui, intents);
        }
    });
    ui.label(muted(ui, words.text("string-caution")));
}

/// Where the lever stands before the start of the open piece.
fn before_ui(state: &State, number: StringNumber, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let wished = state.wishes.edits.iter().rev().find_map(|edit| match edit {
        Edit::Preset { string, state } if *string == number => Some(*state),
        _ => None,
    });
    ui.label(muted(ui, words.text("string-before")));
    for choice in [None, Some(LeverState::Up), Some(LeverState::Down)] {
        let said = choice.map_or_else(|| words.text("string-as-planned"), |to| names::lever_word(words, to));
        let name = words.with("string-before-spoken", [("state", said.clone().into())]);
        if choice_button_ui(ui, &said, &name, wished == choice) {
            intents.push(HarpIntent::SetBefore(number, choice).into());
        }
    }
}
