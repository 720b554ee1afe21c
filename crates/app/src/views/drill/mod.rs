//! The Drill: one flip, until it sits. Nothing else is in sight.
//!
//! The largest words say what to set while nothing sounds and what comes next while it does ([`now`]); below stands the
//! ladder while there is one ([`practice`]), then the chunk, engraved ([`notation`]) or as a strip, and at the foot what the
//! feet do ([`controls`]) and what the microphone hears ([`listening`]).

mod afar;
mod controls;
pub mod listening;
mod notation;
pub mod now;
mod practice;
mod pulse;

use eframe::egui::{CentralPanel, Frame, Margin, Panel, Ui, vec2};

use crate::intent::Intent;
use crate::keys::Action;
use crate::names;
use crate::state::{Distance, Notes, Pulse};
use crate::theme;
use crate::views::strip::{self, Scope};
use crate::views::{Open, score};
use crate::widgets::muted;

/// In less height than this the strip can't be read.
const LEAST_STRIP: f32 = 140.0;

/// What only the picture of the Drill place needs to remember.
#[derive(Default)]
pub struct DrillView {
    strip: strip::StripView,
    notation: notation::NotationView,
    foot_height: f32,
}

/// Draws the place.
pub fn drill_ui(open: Open<'_>, view: &mut DrillView, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let Open { state, piece, planned } = open;
    let ground = Frame::NONE.fill(theme::palette(ui).ground);
    let foot = Panel::bottom("drill foot")
        .frame(ground.inner_margin(Margin::symmetric(22, 12)))
        .show_separator_line(false)
        .show(ui, |ui| controls::controls_ui(open, ui, intents));
    // A panel stands by its height of the frame before.
    let height = foot.response.rect.height();
    if std::mem::replace(&mut view.foot_height, height) != height {
        ui.ctx().request_repaint();
    }
    CentralPanel::default().frame(ground.inner_margin(Margin::symmetric(22, 4))).show(ui, |ui| {
        now::now_ui(state, piece, planned, ui);
        if state.settings.pulse == Pulse::Shown {
            pulse::pulse_ui(state, ui);
        }
        if state.settings.distance == Distance::Far {
            // The card has it all: from afar the strip could not be read.
            if let Some(desk) = &state.drill.practice {
                ui.add_space(theme::NEAR);
                afar::afar_ui(state, desk, ui, intents);
            } else if practice::tells_of_passes(state) {
                ui.add_space(theme::NEAR);
                afar::listened_ui(state, ui);
            }
            return;
        }
        ui.add_space(theme::NEAR);
        if let Some(desk) = &state.drill.practice {
            practice::practice_ui(state, desk, ui, intents);
            ui.add_space(theme::NEAR);
        } else if practice::tells_of_passes(state) {
            practice::listened_ui(state, ui);
            ui.add_space(theme::NEAR);
        }
        if state.drill.notes == Notes::Hidden {
            let gap = [("key", names::hint(state, Action::Notes).into())];
            ui.label(muted(ui, state.words().with("notes-by-feel", gap)));
            return;
        }
        let room = ui.available_size();
        if room.y < LEAST_STRIP {
            // In a low window what is to be done comes first.
            return;
        }
        notation::want_drawing(open, room, intents);
        if notation::is_shown(state) {
            notation::notation_ui(open, &mut view.notation, room, ui, intents);
            return;
        }
        let mut room = room;
        if let Some(reason) = state.score.trouble().filter(|_| state.drill.notes == Notes::Engraved) {
            room -= vec2(0.0, score::trouble_ui(state, reason, ui, intents) + theme::NEAR);
        }
        strip::strip_ui(open, Scope::Loop, &mut view.strip, room, ui, intents);
    });
}
