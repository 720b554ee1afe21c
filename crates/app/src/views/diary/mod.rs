//! The Diary: what is due, the week, and each flip's days.
//!
//! At the left what is due and every flip with how it stands ([`lists`]); at the right the week and the chosen flip's
//! charts ([`charts`]). Each says in a line what it shows.

mod charts;
mod lists;

use eframe::egui::{Frame, Id, Margin, Panel, RichText, Role, ScrollArea, TextEdit, Ui, WidgetInfo};

use crate::intent::{DiaryIntent, Intent};
use crate::keys::Action;
use crate::names;
use crate::state::{Deleting, DiaryPicture, Place, State};
use crate::theme;
use crate::widgets::{Weight, key_button_ui, muted};

/// Where a student types her name: keys belong to it while it has the focus.
pub fn name_field() -> Id {
    Id::unique("student's name")
}

/// Draws the place.
pub fn diary_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    match state.diary.picture.as_deref() {
        Some(picture) if !picture.flips.is_empty() || !picture.students.is_empty() => {
            picture_ui(state, picture, ui, intents)
        }
        _ => empty_ui(state, ui, intents),
    }
}

fn empty_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    ui.vertical_centered(|ui| {
        ui.add_space((ui.available_height() * 0.25).max(20.0));
        ui.label(RichText::new(words.text("diary-empty-title")).font(theme::display(36.0)));
        ui.add_space(theme::NEAR);
        ui.label(muted(ui, words.text("diary-empty")).font(theme::text(20.0)));
        ui.add_space(theme::FAR);
        let go = words.text("diary-go");
        if key_button_ui(ui, &go, &names::hint(state, Action::Go(Place::Drill)), &go, Weight::Main).clicked() {
            intents.push(Intent::Go(Place::Drill));
        }
    });
}

fn picture_ui(state: &State, picture: &DiaryPicture, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let ground = Frame::NONE.fill(theme::palette(ui).ground);
    Panel::bottom("diary foot")
        .frame(ground.inner_margin(Margin::symmetric(0, 6)))
        .show_separator_line(false)
        .show(ui, |ui| foot_ui(state, picture, ui, intents));
    let width = (ui.available_width() * 0.36).clamp(300.0, 460.0);
    Panel::left("diary lists")
        .frame(ground.inner_margin(Margin { right: 22, ..Margin::ZERO }))
        .exact_size(width)
        .show_separator_line(false)
        .show(ui, |ui| {
            ScrollArea::vertical().id_salt("diary lists").show(ui, |ui| {
                lists::due_ui(state, picture, ui, intents);
                ui.add_space(theme::FAR);
                lists::flips_ui(state, picture, ui, intents);
                lists::students_ui(state, picture, ui);
            });
        });
    ScrollArea::vertical().id_salt("diary charts").show(ui, |ui| {
        charts::week_ui(state, picture, ui);
        ui.add_space(theme::FAR);
        charts::flip_ui(state, picture, ui);
    });
}

fn foot_ui(state: &State, picture: &DiaryPicture, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    ui.horizontal_wrapped(|ui| {
        let export = words.text("diary-export");
        if key_button_ui(ui, &export, "", &export, Weight::Plain).clicked() {
            intents.push(DiaryIntent::Export.into());
        }
        let delete = match state.diary.deleting {
            Deleting::No => words.text("diary-delete"),
            Deleting::Asked => words.text("diary-delete-really"),
        };
        if key_button_ui(ui, &delete, "", &delete, Weight::Plain).clicked() {
            intents.push(DiaryIntent::Delete.into());
        }
        if state.diary.deleting == Deleting::Asked {
            let keep = words.text("diary-keep");
            if key_button_ui(ui, &keep, "", &keep, Weight::Main).clicked() {
                intents.push(DiaryIntent::KeepAll.into());
            }
        }
        let (hint, label) = (words.text("diary-name"), words.text("diary-results"));
        let mut name = state.diary.student.clone();
        let field = ui
            .add(TextEdit::singleline(&mut name).id(name_field()).hint_text(&hint).desired_width(130.0).char_limit(80));
        field.widget_info(|| WidgetInfo::labeled(Role::TextInput, true, &hint));
        if field.changed() {
            intents.push(DiaryIntent::Name(name).into());
        }
        ui.add_enabled_ui(!state.diary.student.trim().is_empty(), |ui| {
            if key_button_ui(ui, &label, "", &label, Weight::Plain).clicked() {
                intents.push(DiaryIntent::WriteResults.into());
            }
        });
        let size = words.decimal(picture.size as f64 / 1e6, 1);
        let path = picture.path.display().to_string();
        let kept = words.with("diary-size", [("size", size.into()), ("path", path.into())]);
        ui.label(muted(ui, kept).font(theme::text(15.5)));
    });
}

/// A heading, and in a line what stands below it.
fn heading_ui(ui: &mut Ui, title: &str, says: &str) {
    ui.label(RichText::new(title).font(theme::strong(22.0)));
    ui.label(muted(ui, says).font(theme::text(15.5)));
}
