//! The head: which piece, in which of the four places, and what is always at hand.

use eframe::egui::{Align, Label, Layout, RichText, Role, Sense, Stroke, Ui, WidgetInfo, pos2};

use crate::intent::{FileIntent, Intent};
use crate::names;
use crate::state::{Origin, Place, State};
use crate::theme;
use crate::widgets::{Weight, key_button_ui, muted};

/// Draws the head.
pub fn head_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    ui.horizontal(|ui| {
        for place in Place::ALL {
            place_ui(state, place, ui, intents);
        }
        ui.add_space(theme::FAR);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            if key_button_ui(ui, &words.text("head-help"), "F1", &words.text("head-help"), Weight::Plain).clicked() {
                intents.push(Intent::SwitchHelp);
            }
            theme_button(state, ui);
            let (demo, spoken) = (words.text("head-demo"), words.text("head-demo-spoken"));
            if key_button_ui(ui, &demo, "Ctrl D", &spoken, Weight::Plain).clicked() {
                intents.push(FileIntent::Open(Origin::Demo).into());
            }
            let (open, spoken) = (words.text("head-open"), words.text("head-open-spoken"));
            if key_button_ui(ui, &open, "Ctrl O", &spoken, Weight::Plain).clicked() {
                intents.push(FileIntent::Ask.into());
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| title_ui(state, ui));
        });
    });
}

fn title_ui(state: &State, ui: &mut Ui) {
    let words = state.words();
    if state.work.opening.is_some() {
        ui.spinner();
        ui.label(muted(ui, words.text("head-reading")));
    } else if state.work.planning.is_some() {
        ui.spinner();
        ui.label(muted(ui, words.text("head-planning")));
    }
    if let Some(piece) = &state.piece {
        ui.add(Label::new(RichText::new(piece.title(words)).font(theme::text(22.0))).truncate());
    }
}

/// A place's name; the one where the player is stands out by weight and a line below it.
fn place_ui(state: &State, place: Place, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let palette = theme::palette(ui);
    let is_here = state.place == place;
    let name = names::place_name(state.words(), place);
    let (font, ink) = if is_here { (theme::display(26.0), palette.ink) } else { (theme::text(26.0), palette.muted) };
    let galley = ui.painter().layout_no_wrap(name.clone(), font, ink);
    let (rect, response) = ui.allocate_exact_size(galley.size() + eframe::egui::vec2(20.0, 8.0), Sense::click());
    let spoken = state.words().with("place-go", [("place", name.into())]);
    response.widget_info(|| WidgetInfo::selected(Role::Tab, true, is_here, &spoken));
    if response.clicked() {
        intents.push(Intent::Go(place));
    }
    if response.hovered() || response.has_focus() {
        ui.painter().rect_stroke(rect, theme::ROUND, Stroke::new(1.5, palette.muted), eframe::egui::StrokeKind::Inside);
    }
    let at = pos2(rect.center().x - galley.size().x / 2.0, rect.center().y - galley.size().y / 2.0);
    let line = (at.x, at.x + galley.size().x);
    ui.painter().galley(at, galley, ink);
    if is_here {
        ui.painter().hline(line.0..=line.1, rect.bottom() - 1.0, Stroke::new(3.0, palette.accent));
    }
}

fn theme_button(state: &State, ui: &mut Ui) {
    let words = state.words();
    let (word, name, next) = if ui.visuals().dark_mode {
        (words.text("head-light"), words.text("head-light-spoken"), eframe::egui::Theme::Light)
    } else {
        (words.text("head-dark"), words.text("head-dark-spoken"), eframe::egui::Theme::Dark)
    };
    if key_button_ui(ui, &word, "", &name, Weight::Plain).clicked() {
        ui.ctx().set_theme(next);
    }
}
