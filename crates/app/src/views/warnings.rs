//! The page of everything in the open piece that was read otherwise than it stands, each with its bar.

use eframe::egui::{Align, Label, RichText, ScrollArea, Ui};
use leverlane_core::pitch::SpelledPitch;
use leverlane_core::plan::{UnmetMark, UnmetMarkReason};
use leverlane_core::score::LeverMark;

use crate::intent::Intent;
use crate::names;
use crate::state::{Piece, State};
use crate::theme;
use crate::views::sheets::heading_ui;
use crate::widgets::{Weight, key_button_ui};
use crate::words::Words;

/// Whether there is anything to show.
pub fn any(state: &State) -> bool {
    state.piece.as_ref().is_some_and(|piece| !piece.warnings.is_empty())
        || state.plan.as_ref().is_some_and(|planned| !planned.unmet.is_empty())
}

/// Draws the page.
pub fn warnings_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    heading_ui(words, &words.text("warnings"), ui, intents);
    let Some(piece) = &state.piece else { return };
    let lines = lines(state, piece);
    let copy = words.text("warnings-copy");
    if key_button_ui(ui, &copy, "", &copy, Weight::Plain).clicked() {
        let text: Vec<String> = lines.iter().map(|(place, reason)| format!("{place}: {reason}")).collect();
        intents.push(Intent::Copy(text.join("\n")));
    }
    ui.add_space(theme::NEAR);
    ScrollArea::vertical().show(ui, |ui| {
        ui.take_available_width();
        for (place, reason) in &lines {
            ui.horizontal_top(|ui| {
                let place = RichText::new(place).font(theme::strong(18.0));
                ui.add_sized([130.0, 26.0], Label::new(place).halign(Align::Min));
                ui.add(Label::new(reason).wrap().selectable(true));
            });
        }
    });
}

/// Place and reason: what the reader bent, then the lever marks that became no decision on this harp.
fn lines(state: &State, piece: &Piece) -> Vec<(String, String)> {
    let words = state.words();
    let read = piece
        .warnings
        .iter()
        .map(|warning| (names::written_bar(words, piece, warning.bar), words.said(&warning.reason)));
    let marks = &piece.score.markings().levers;
    let unmet = state.plan.iter().flat_map(|planned| &planned.unmet);
    let unmet = unmet.filter_map(|unmet| {
        let mark = marks.get(unmet.mark)?;
        Some((names::written_bar(words, piece, Some(mark.bar)), unmet_reason(words, mark, unmet)))
    });
    read.chain(unmet).collect()
}

fn unmet_reason(words: Words, mark: &LeverMark, unmet: &UnmetMark) -> String {
    let key = match unmet.why {
        UnmetMarkReason::NothingToFlip => "unmet-nothing-to-flip",
        UnmetMarkReason::OnItsNote => "unmet-on-its-note",
        UnmetMarkReason::NoSuchString => "unmet-no-such-string",
    };
    words.with(key, [("mark", mark_name(words, mark).into())])
}

/// The mark as it stands: a letter and an accidental, with an octave only where it names one.
fn mark_name(words: Words, mark: &LeverMark) -> String {
    // Which octave it is makes no difference to a name that is said without one.
    let Ok(pitch) = SpelledPitch::new(mark.letter, mark.alter, mark.octave.unwrap_or(4)) else {
        return words.letter(mark.letter).to_owned();
    };
    let name = words.flip_note(pitch);
    if mark.octave.is_some() { words.in_octave(&name, pitch) } else { name }
}
