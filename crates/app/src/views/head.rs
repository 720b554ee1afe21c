//! The head: in which of the four places the player is, which piece is open, and what is always at hand.

use eframe::egui::{Align, Label, Layout, RichText, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo, pos2, vec2};

use crate::intent::{FileIntent, Intent, PlanIntent};
use crate::keys::Action;
use crate::names;
use crate::state::{Origin, Place, Sheet, State};
use crate::theme;
use crate::views::warnings;
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
            let help = words.text("head-help");
            if key_button_ui(ui, &help, &names::hint(state, Action::Help), &help, Weight::Plain).clicked() {
                intents.push(Intent::Switch(Sheet::Help));
            }
            more_ui(state, ui, intents);
            if state.piece.is_some() {
                ui.add_enabled_ui(state.has_unsaved_changes(), |ui| {
                    let save = words.text("head-save");
                    if key_button_ui(ui, &save, &names::hint(state, Action::Save), &save, Weight::Plain).clicked() {
                        intents.push(FileIntent::Save.into());
                    }
                });
            }
            let (open, spoken) = (words.text("head-open"), words.text("head-open-spoken"));
            if key_button_ui(ui, &open, &names::hint(state, Action::Open), &spoken, Weight::Plain).clicked() {
                intents.push(FileIntent::Ask.into());
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| title_ui(state, ui, intents));
        });
    });
}

/// What is needed seldom.
fn more_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    let more = words.text("head-more");
    let shown = ui.menu_button(&more, |ui| {
        let mut entry = |ui: &mut Ui, text: String, key: &str, intent: Intent| {
            if key_button_ui(ui, &text, key, &text, Weight::Plain).clicked() {
                intents.push(intent);
                ui.close();
            }
        };
        entry(ui, words.text("more-paper"), &names::hint(state, Action::Paper), Intent::Switch(Sheet::Paper));
        entry(ui, words.text("more-demo"), &names::hint(state, Action::Demo), FileIntent::Open(Origin::Demo).into());
        if state.piece.is_some() {
            entry(ui, words.text("more-save-as"), &names::hint(state, Action::SaveAs), FileIntent::SaveAs.into());
        }
        entry(ui, words.text("more-save-harp"), "", FileIntent::SaveHarp.into());
        entry(ui, words.text("more-settings"), &names::hint(state, Action::Settings), Intent::Switch(Sheet::Settings));
        let has_notes = state.piece.as_ref().is_some_and(|piece| piece.score.notes().next().is_some());
        if has_notes {
            entry(ui, words.text("more-hands"), "", Intent::Switch(Sheet::Hands));
        }
        entry(ui, words.text("about"), "", Intent::Switch(Sheet::About));
        if warnings::any(state) {
            entry(ui, words.text("more-warnings"), "", Intent::Switch(Sheet::Warnings));
        }
        if !state.settings.recent.is_empty() {
            ui.separator();
            ui.label(muted(ui, words.text("more-recent")));
            for path in &state.settings.recent {
                let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
                entry(ui, name, "", FileIntent::Open(Origin::File(path.clone())).into());
            }
        }
    });
    shown.response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &more));
}

fn title_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    if state.work.opening.is_some() {
        ui.spinner();
        ui.label(muted(ui, words.text("head-reading")));
        let give_up = words.text("question-cancel");
        if key_button_ui(ui, &give_up, "Esc", &give_up, Weight::Plain).clicked() {
            intents.push(FileIntent::GiveUp.into());
        }
    } else if state.work.planning.is_some() {
        ui.spinner();
        ui.label(muted(ui, words.text("head-planning")));
        let give_up = words.text("question-cancel");
        if key_button_ui(ui, &give_up, "Esc", &give_up, Weight::Plain).clicked() {
            intents.push(PlanIntent::GiveUp.into());
        }
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
    let (rect, response) = ui.allocate_exact_size(galley.size() + vec2(20.0, 8.0), Sense::click());
    let spoken = state.words().with("place-go", [("place", name.into())]);
    response.widget_info(|| WidgetInfo::selected(Role::Tab, true, is_here, &spoken));
    if response.clicked() {
        intents.push(Intent::Go(place));
    }
    if response.hovered() || response.has_focus() {
        ui.painter().rect_stroke(rect, theme::ROUND, Stroke::new(1.5, palette.muted), StrokeKind::Inside);
    }
    let at = pos2(rect.center().x - galley.size().x / 2.0, rect.center().y - galley.size().y / 2.0);
    let line = (at.x, at.x + galley.size().x);
    ui.painter().galley(at, galley, ink);
    if is_here {
        ui.painter().hline(line.0..=line.1, rect.bottom() - 1.0, Stroke::new(3.0, palette.accent));
    }
}
