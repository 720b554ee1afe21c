//! The foot of the Piece place: the selected flip, and the way to drill it.

use eframe::egui::{Align, Layout, RichText, Ui};

use crate::intent::{DrillIntent, Intent, PlanIntent};
use crate::names;
use crate::state::{Piece, Place, Planned, State};
use crate::theme;
use crate::widgets::{Weight, key_button_ui};

/// Draws the foot.
pub fn foot_ui(state: &State, piece: &Piece, planned: &Planned, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    ui.horizontal(|ui| {
        match state.drill.selected.and_then(|selected| planned.plan.gestures.get(selected)) {
            None => {
                let play = words.text("piece-play");
                if key_button_ui(ui, &play, "Space", &play, Weight::Main).clicked() {
                    intents.push(DrillIntent::StartOrStop.into());
                }
                if planned.plan.gestures.is_empty() {
                    ui.label(words.text("piece-no-flips"));
                }
            }
            Some(gesture) => {
                let place = names::place(words, piece, gesture.played_bar, gesture.at);
                let flips = names::gesture_spoken(words, gesture);
                let gaps = [("flip", flips.into()), ("place", place.clone().into())];
                let spoken = words.with("piece-drill-spoken", gaps);
                if key_button_ui(ui, &words.text("piece-drill"), "Enter", &spoken, Weight::Main).clicked() {
                    intents.push(Intent::Go(Place::Drill));
                }
                ui.add_space(theme::NEAR);
                let chosen = format!("{}, {place}", names::gesture(words, gesture));
                ui.label(RichText::new(chosen).font(theme::strong(20.0)));
            }
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let (undo, redo) = (words.text("undo"), words.text("redo"));
            ui.add_enabled_ui(state.history.can_redo(), |ui| {
                if key_button_ui(ui, &redo, "Ctrl Y", &redo, Weight::Plain).clicked() {
                    intents.push(PlanIntent::Redo.into());
                }
            });
            ui.add_enabled_ui(state.history.can_undo(), |ui| {
                if key_button_ui(ui, &undo, "Ctrl Z", &undo, Weight::Plain).clicked() {
                    intents.push(PlanIntent::Undo.into());
                }
            });
        });
    });
}
