//! What is due, and every flip by piece.

use eframe::egui::{RichText, Ui};
use leverlane_diary::StudentDay;

use super::heading_ui;
use crate::intent::{DiaryIntent, Intent};
use crate::names;
use crate::state::{DiaryPicture, State};
use crate::theme;

/// Draws what is due, longest due first.
pub fn due_ui(state: &State, picture: &DiaryPicture, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    heading_ui(ui, &words.text("diary-due"), &words.text("diary-due-says"));
    if picture.due.is_empty() {
        ui.label(words.text("diary-due-none"));
    }
    for due in &picture.due {
        let days = picture.today.get() - due.since.get();
        let (flip, piece) = (("flip", due.flip.words.clone().into()), ("piece", due.flip.piece.clone().into()));
        let said = if days == 0 {
            words.with("diary-since-today", [flip, piece])
        } else {
            words.with("diary-since", [flip, piece, ("days", days.into())])
        };
        if ui.selectable_label(picture.chosen == Some(due.flip.id), said).clicked() {
            intents.push(DiaryIntent::Choose(due.flip.id).into());
        }
    }
}

/// Draws every flip with how it stands.
pub fn flips_ui(state: &State, picture: &DiaryPicture, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let words = state.words();
    heading_ui(ui, &words.text("diary-flips"), &words.text("diary-flips-says"));
    let mut piece = "";
    for flip in &picture.flips {
        if flip.flip.piece != piece {
            piece = &flip.flip.piece;
            ui.add_space(theme::NEAR);
            ui.label(RichText::new(piece).font(theme::strong(18.0)));
        }
        let (sign, standing) = names::standing(words, flip.standing);
        let said = format!("{sign} {} ({standing})", flip.flip.words);
        if ui.selectable_label(picture.chosen == Some(flip.flip.id), said).clicked() {
            intents.push(DiaryIntent::Choose(flip.flip.id).into());
        }
    }
}

/// Draws what students have sent, the same flips beside each other.
pub fn students_ui(state: &State, picture: &DiaryPicture, ui: &mut Ui) {
    if picture.students.is_empty() {
        return;
    }
    let words = state.words();
    ui.add_space(theme::FAR);
    heading_ui(ui, &words.text("diary-students"), &words.text("diary-students-says"));
    let mut flip = (String::new(), String::new());
    for row in &picture.students {
        let own = (row.piece.clone(), row.flip.clone());
        if own != flip {
            ui.add_space(theme::NEAR);
            ui.label(RichText::new(format!("{}, {}", row.piece, row.flip)).font(theme::strong(18.0)));
            flip = own;
        }
        let held = row.days.iter().filter_map(|day| day.held).reduce(f64::max);
        let sum = |count: fn(&StudentDay) -> u32| row.days.iter().map(count).map(u64::from).sum::<u64>();
        let gaps = [
            ("student", row.student.clone().into()),
            ("held", held.map_or_else(|| "–".to_owned(), |held| words.number(held)).into()),
            ("clean", sum(|day| day.clean).into()),
            ("judged", sum(|day| day.judged).into()),
        ];
        ui.label(words.with("diary-student", gaps));
    }
}
