//! The foot of the Piece place: the selected flip, what can be changed about it, and the way to drill it.

use eframe::egui::{Align, Layout, RichText, Ui};
use leverlane_core::drill::ChunkSize;
use leverlane_core::plan::Gesture;

use crate::intent::{Direction, DrillIntent, Intent, PlanIntent};
use crate::keys::Action;
use crate::names;
use crate::state::{Piece, Place, Planned, State};
use crate::theme;
use crate::widgets::{Weight, key_button_ui, muted};

/// Draws the foot.
pub fn foot_ui(state: &State, piece: &Piece, planned: &Planned, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let chosen = state.drill.selected.and_then(|selected| planned.plan.gestures.get(selected));
    ui.horizontal(|ui| {
        match chosen {
            None => {
                let play = match state.drill.size {
                    size @ ChunkSize::Bars { .. } => {
                        words.with("piece-play-bars", [("bars", names::loop_size(words, piece, size).into())])
                    }
                    _ => words.text("piece-play"),
                };
                if key_button_ui(ui, &play, &names::hint(state, Action::StartOrStop), &play, Weight::Main).clicked() {
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
                if key_button_ui(
                    ui,
                    &words.text("piece-drill"),
                    &names::hint(state, Action::StartOrStop),
                    &spoken,
                    Weight::Main,
                )
                .clicked()
                {
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
                if key_button_ui(ui, &redo, &names::hint(state, Action::Redo), &redo, Weight::Plain).clicked() {
                    intents.push(PlanIntent::Redo.into());
                }
            });
            ui.add_enabled_ui(state.history.can_undo(), |ui| {
                if key_button_ui(ui, &undo, &names::hint(state, Action::Undo), &undo, Weight::Plain).clicked() {
                    intents.push(PlanIntent::Undo.into());
                }
            });
        });
    });
    if let Some(gesture) = chosen {
        ui.add_space(2.0);
        ui.horizontal_wrapped(|ui| change_ui(state, gesture, ui, intents));
    }
}

/// What can be changed about a flip.
fn change_ui(state: &State, gesture: &Gesture, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    ui.label(muted(ui, words.text("edit-flip")));
    let other = !gesture.hand;
    let give = words.with("edit-give", [("hand", names::hand(words, other).into())]);
    let lock = if gesture.locked { words.text("edit-unlock") } else { words.text("edit-lock") };
    let edits = [
        (words.text("edit-earlier"), Action::Move(Direction::Earlier), PlanIntent::Nudge(Direction::Earlier)),
        (words.text("edit-later"), Action::Move(Direction::Later), PlanIntent::Nudge(Direction::Later)),
        (give, Action::OtherHand, PlanIntent::GiveTo(other)),
        (lock, Action::Lock, PlanIntent::SwitchLock),
        (words.text("edit-preset"), Action::Preset, PlanIntent::Preset),
        (words.text("edit-forbid"), Action::Forbid, PlanIntent::Forbid),
    ];
    for (text, action, intent) in edits {
        if key_button_ui(ui, &text, &names::hint(state, action), &text, Weight::Plain).clicked() {
            intents.push(intent.into());
        }
    }
}
