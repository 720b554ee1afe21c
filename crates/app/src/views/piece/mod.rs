//! The Piece: which levers to set, where the flips are, what can't be done and what helps.
//!
//! From the top: the sentence that says for which harp, hands and tempo; the start setting; the strip of the whole
//! piece, on which the flips stand; the piece as one line, to jump in. At the right all flips in order of time, and at
//! the foot the one thing to do next.

pub mod flips;
mod foot;
mod sentence;
pub mod whole;

use eframe::egui::{CentralPanel, Frame, Margin, Panel, Stroke, Ui, Vec2, vec2};

use crate::intent::Intent;
use crate::state::{Cut, Planned, State};
use crate::theme;
use crate::views::score::layout::spaces_across;
use crate::views::setting::{SettingSizes, setting_ui};
use crate::views::strip::{self, Scope};
use crate::views::{Open, score};
use crate::widgets::{Weight, key_button_ui, muted};

/// What only the picture of the Piece place needs to remember.
#[derive(Default)]
pub struct PieceView {
    strip: strip::StripView,
    score: score::ScoreView,
    shows: Shows,
    whole: whole::WholeView,
    flips: flips::FlipsView,
}

/// How the piece is shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Shows {
    /// Engraved.
    #[default]
    Notes,
    /// As strings over time, where flips can be moved.
    Strings,
}

/// How high the picture of the start setting is.
const SETTING_HEIGHT: f32 = 112.0;

/// Draws the place.
pub fn piece_ui(open: Open<'_>, view: &mut PieceView, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let Open { state, piece, planned } = open;
    let ground = Frame::NONE.fill(theme::palette(ui).ground);
    Panel::top("sentence")
        .frame(ground.inner_margin(Margin { left: 22, right: 22, top: 0, bottom: 8 }))
        .show_separator_line(false)
        .show(ui, |ui| ui.horizontal_wrapped(|ui| sentence::sentence_ui(state, ui, intents)));
    Panel::bottom("piece foot")
        .frame(ground.inner_margin(Margin::symmetric(22, 12)))
        .show_separator_line(false)
        .show(ui, |ui| foot::foot_ui(state, piece, planned, ui, intents));
    Panel::right("flips")
        .frame(ground.inner_margin(Margin { left: 8, right: 22, top: 4, bottom: 4 }))
        .resizable(false)
        .show_separator_line(false)
        .exact_size(if ui.available_width() < 1100.0 { 310.0 } else { 366.0 })
        .show(ui, |ui| flips::flips_ui(state, piece, planned, &mut view.flips, ui, intents));
    CentralPanel::default().frame(ground.inner_margin(Margin { left: 22, right: 8, top: 4, bottom: 4 })).show(
        ui,
        |ui| {
            start_ui(state, planned, ui);
            ui.add_space(theme::NEAR);
            // The line has its place at the foot; the strip takes what is left.
            let room = Vec2::new(ui.available_width(), (ui.available_height() - whole::HEIGHT - theme::NEAR).max(80.0));
            music_ui(open, view, room, ui, intents);
            whole::whole_ui(state, piece, planned, &mut view.whole, ui, intents);
        },
    );
}

/// The score where it is drawn and wanted, else the strip.
fn music_ui(open: Open<'_>, view: &mut PieceView, room: Vec2, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let Open { state, piece, planned } = open;
    let words = state.words();
    score::want_drawing(open, Cut::whole(piece, planned, spaces_across(room.x)), intents);
    let Some(drawing) = state.score.drawing() else {
        let strip = match state.score.trouble() {
            Some(reason) => room - vec2(0.0, score::trouble_ui(state, reason, ui, intents) + theme::NEAR),
            None => room,
        };
        strip::strip_ui(open, Scope::WholePiece, &mut view.strip, strip, ui, intents);
        return;
    };
    let (other, label) = match view.shows {
        Shows::Notes => (Shows::Strings, words.text("piece-show-strings")),
        Shows::Strings => (Shows::Notes, words.text("piece-show-notes")),
    };
    let line = ui.horizontal(|ui| {
        if key_button_ui(ui, &label, "", &label, Weight::Plain).clicked() {
            view.shows = other;
        }
        let hint = match view.shows {
            Shows::Notes => words.text("piece-choose-bars"),
            Shows::Strings => words.text("piece-move-flips"),
        };
        ui.label(muted(ui, hint));
    });
    let room = room - vec2(0.0, line.response.rect.height() + theme::NEAR);
    match view.shows {
        Shows::Notes => score::score_ui(open, drawing, &mut view.score, room, ui, intents),
        Shows::Strings => strip::strip_ui(open, Scope::WholePiece, &mut view.strip, room, ui, intents),
    }
}

fn start_ui(state: &State, planned: &Planned, ui: &mut Ui) {
    let palette = theme::palette(ui);
    Frame::NONE
        .fill(palette.card)
        .stroke(Stroke::new(1.0, palette.line))
        .corner_radius(theme::ROUND)
        .inner_margin(Margin::symmetric(20, 10))
        .show(ui, |ui| {
            ui.set_height(SETTING_HEIGHT);
            ui.take_available_width();
            let sizes = SettingSizes { words: 23.0, height: SETTING_HEIGHT };
            setting_ui(&state.settings, &planned.harp, &planned.plan.start, "", sizes, ui);
        });
}
