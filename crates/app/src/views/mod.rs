//! What the player sees.
//!
//! The window answers three questions in the order in which she has them: which levers to set or which flip comes next
//! ([`now`]), when it comes ([`strip`]), and which flips there are ([`flips`], and [`whole`] where in the piece). The head names the piece and the harp in
//! one sentence; the foot holds what the feet do.

pub mod controls;
pub mod flips;
pub mod head;
pub mod help;
pub mod notice;
pub mod now;
pub mod strip;
pub mod welcome;
pub mod whole;

use eframe::egui::{CentralPanel, Frame, Margin, Panel, Ui, Vec2};

use crate::intent::Intent;
use crate::state::{HelpPage, State};
use crate::theme;

/// What only the picture needs to remember.
#[derive(Default)]
pub struct ViewState {
    /// The strip's model and how far it is scrolled.
    pub strip: strip::StripView,
    /// The whole piece's line.
    pub whole: whole::WholeView,
    /// The flips list's model.
    pub flips: flips::FlipsView,
}

/// Draws the window and tells what the player did in it.
pub fn view(state: &State, views: &mut ViewState, ui: &mut Ui) -> Vec<Intent> {
    let mut intents = Vec::new();
    let palette = theme::palette(ui);
    let margin = |x: i8, y: i8| Frame::NONE.fill(palette.ground).inner_margin(Margin::symmetric(x, y));
    Panel::top("head").frame(margin(22, 12)).show_separator_line(false).show(ui, |ui| {
        head::head_ui(state, ui, &mut intents);
        notice::notice_ui(state, ui, &mut intents);
    });
    if state.help == HelpPage::Open {
        CentralPanel::default().frame(margin(22, 8)).show(ui, |ui| help::help_ui(ui, &mut intents));
        return intents;
    }
    let (Some(piece), Some(planned)) = (&state.piece, &state.plan) else {
        CentralPanel::default().frame(margin(22, 8)).show(ui, |ui| welcome::welcome_ui(state, ui, &mut intents));
        return intents;
    };
    Panel::bottom("foot")
        .frame(margin(22, 12))
        .show_separator_line(false)
        .show(ui, |ui| controls::controls_ui(state, ui, &mut intents));
    Panel::right("flips")
        .frame(Frame::NONE.fill(palette.ground).inner_margin(Margin { left: 8, right: 22, top: 4, bottom: 4 }))
        .resizable(false)
        .show_separator_line(false)
        .exact_size(if ui.available_width() < 1100.0 { 310.0 } else { 366.0 })
        .show(ui, |ui| flips::flips_ui(state, piece, planned, &mut views.flips, ui, &mut intents));
    CentralPanel::default()
        .frame(Frame::NONE.fill(palette.ground).inner_margin(Margin { left: 22, right: 8, top: 4, bottom: 4 }))
        .show(ui, |ui| {
            now::now_ui(state, piece, planned, ui);
            ui.add_space(theme::NEAR);
            // The line has its place at the foot; the strip takes what is left.
            let room = Vec2::new(ui.available_width(), (ui.available_height() - whole::HEIGHT - theme::NEAR).max(80.0));
            strip::strip_ui(state, piece, planned, &mut views.strip, room, ui, &mut intents);
            whole::whole_ui(state, piece, planned, &mut views.whole, ui, &mut intents);
        });
    intents
}
