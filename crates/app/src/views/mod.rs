//! What the player sees.
//!
//! Four places, each with one thing to do, and a folder for each: [`piece`], [`harp`], [`drill`], [`diary`]. The head
//! names the piece and leads from place to place. What several places show stands in folders of its own: the strip, the
//! start setting.

mod about;
pub mod diary;
pub mod drill;
pub mod hands;
pub mod harp;
pub mod head;
pub mod help;
mod key_table;
mod ladder_setup;
pub mod notice;
pub mod paper;
mod pedal;
pub mod piece;
mod question;
pub mod regulating;
pub mod score;
pub mod setting;
mod sheets;
pub mod strip;
mod tap_along;
mod warnings;
pub mod welcome;

use eframe::egui::{CentralPanel, Frame, Margin, Panel, Ui};

use crate::intent::Intent;
use crate::state::{Piece, Place, Planned, Sheet, State};
use crate::theme;

/// A piece that is open and planned, with all else that the window knows.
#[derive(Clone, Copy)]
pub struct Open<'a> {
    /// All of it.
    pub state: &'a State,
    /// The piece.
    pub piece: &'a Piece,
    /// Its plan.
    pub planned: &'a Planned,
}

/// What only the picture needs to remember.
#[derive(Default)]
pub struct ViewState {
    /// Of the Piece place.
    pub piece: piece::PieceView,
    /// Of the Drill place.
    pub drill: drill::DrillView,
    /// Of the page of parts and hands.
    pub hands: hands::HandsView,
    /// Of the page on which pieces are written down.
    pub paper: paper::PaperView,
}

/// Draws the window and tells what the player did in it.
pub fn view(state: &State, views: &mut ViewState, ui: &mut Ui) -> Vec<Intent> {
    let mut intents = Vec::new();
    let ground = Frame::NONE.fill(theme::palette(ui).ground);
    Panel::top("head").frame(ground.inner_margin(Margin::symmetric(22, 12))).show_separator_line(false).show(
        ui,
        |ui| {
            head::head_ui(state, ui, &mut intents);
            notice::notice_ui(state, ui, &mut intents);
        },
    );
    let page = ground.inner_margin(Margin::symmetric(22, 8));
    question::question_ui(state, ui, &mut intents);
    if let Some(sheet) = &state.sheet {
        CentralPanel::default().frame(page).show(ui, |ui| match sheet {
            Sheet::Help => help::help_ui(state, ui, &mut intents),
            Sheet::Ladder => ladder_setup::ladder_setup_ui(state, ui, &mut intents),
            Sheet::About => about::about_ui(state, ui, &mut intents),
            Sheet::Keys { wanted } => key_table::key_table_ui(state, *wanted, ui, &mut intents),
            Sheet::Settings => sheets::settings_ui(state, ui, &mut intents),
            Sheet::Paper => paper::paper_ui(state, &mut views.paper, ui, &mut intents),
            Sheet::Hands => hands::hands_ui(state, &mut views.hands, ui, &mut intents),
            Sheet::Warnings => warnings::warnings_ui(state, ui, &mut intents),
            Sheet::LeverCheck => regulating::lever_check_ui(state, ui, &mut intents),
            Sheet::Tuner => regulating::tuner_ui(state, ui, &mut intents),
            Sheet::TapAlong => tap_along::tap_along_ui(state, ui, &mut intents),
            Sheet::Tunes(tunes) => sheets::tunes_ui(state, tunes, ui, &mut intents),
        });
        return intents;
    }
    match (state.place, &state.piece, &state.plan) {
        (Place::Harp, ..) => {
            harp::harp_ui(state, ui, &mut intents);
        }
        (Place::Diary, ..) => {
            CentralPanel::default().frame(page).show(ui, |ui| diary::diary_ui(state, ui, &mut intents));
        }
        (Place::Piece, Some(piece), Some(planned)) => {
            piece::piece_ui(Open { state, piece, planned }, &mut views.piece, ui, &mut intents);
        }
        (Place::Drill, Some(piece), Some(planned)) => {
            drill::drill_ui(Open { state, piece, planned }, &mut views.drill, ui, &mut intents);
        }
        (Place::Piece | Place::Drill, ..) => {
            CentralPanel::default().frame(page).show(ui, |ui| welcome::welcome_ui(state, ui, &mut intents));
        }
    }
    intents
}
