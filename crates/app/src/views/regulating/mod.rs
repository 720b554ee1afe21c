//! The two pages for harp and ear alone: the lever check and the tuner. Both show the harp ([`super::harp::picture`]) with
//! what was found at each string, and light the strings that are heard.

mod levers;
mod tuner;

pub use levers::lever_check_ui;
pub use tuner::tuner_ui;

use eframe::egui::{RichText, Ui};
use leverlane_core::harp::{HarpString, LeverState};

use crate::intent::Intent;
use crate::state::State;
use crate::theme;
use crate::views::drill::listening::ear_ui;
use crate::widgets::muted;

/// Whether a string is heard just now, its lever standing so.
fn is_lit(state: &State, string: &HarpString, lever: LeverState) -> bool {
    let note = string.sounds(lever).midi();
    state.listening.strings.iter().any(|heard| heard.note == note)
}

/// The one thing to do, in large words; under it what went otherwise, or how it is done.
fn ask_ui(ask: &str, amiss: Option<&str>, how: &str, ui: &mut Ui) {
    ui.label(RichText::new(ask).font(theme::display(36.0)));
    match amiss {
        Some(amiss) => ui.label(RichText::new(amiss).font(theme::strong(19.0)).color(theme::palette(ui).alarm)),
        None => ui.label(muted(ui, how)),
    };
}

/// The microphone: which, how loud, and what keeps it from hearing.
fn microphone_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    ear_ui(state, ui, intents);
}
