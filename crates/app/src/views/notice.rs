//! Messages, which can be copied and dismissed.

use eframe::egui::{Frame, Label, Margin, RichText, Stroke, Ui};

use crate::intent::Intent;
use crate::state::{NoticeKind, Sheet, State};
use crate::theme;
use crate::widgets::{Weight, key_button_ui};

/// Draws the message, and why there is no sound.
pub fn notice_ui(state: &State, ui: &mut Ui, intents: &mut Vec<Intent>) {
    let (palette, words) = (theme::palette(ui), state.words());
    if let Some(notice) = &state.notice {
        let (word, edge) = match notice.kind {
            NoticeKind::Error => (words.text("notice-error"), palette.alarm),
            NoticeKind::Remark => (words.text("notice-remark"), palette.muted),
        };
        line_ui(ui, edge, |ui| {
            ui.label(RichText::new(word).font(theme::strong(18.0)).color(edge));
            let has_more = state.piece.as_ref().is_some_and(|piece| piece.warnings.len() > 1);
            if notice.kind == NoticeKind::Remark && has_more {
                let all = words.text("more-warnings");
                if key_button_ui(ui, &all, "", &all, Weight::Plain).clicked() {
                    intents.push(Intent::Switch(Sheet::Warnings));
                }
            }
            if key_button_ui(ui, &words.text("notice-copy"), "", &words.text("notice-copy-spoken"), Weight::Plain)
                .clicked()
            {
                intents.push(Intent::Copy(notice.text.clone()));
            }
            let (dismiss, spoken) = (words.text("notice-dismiss"), words.text("notice-dismiss-spoken"));
            if key_button_ui(ui, &dismiss, "Esc", &spoken, Weight::Plain).clicked() {
                intents.push(Intent::DismissNotice);
            }
            ui.add(Label::new(&notice.text).wrap().selectable(true));
        });
    }
    if let Some(reason) = &state.silent_because {
        line_ui(ui, palette.line, |ui| {
            ui.label(RichText::new(words.text("silence")).font(theme::strong(18.0)).color(palette.muted));
            let (dismiss, spoken) = (words.text("notice-dismiss"), words.text("silence-dismiss-spoken"));
            if key_button_ui(ui, &dismiss, "", &spoken, Weight::Plain).clicked() {
                intents.push(Intent::DismissSilence);
            }
            ui.add(Label::new(words.said(reason)).wrap().selectable(true));
        });
    }
}

fn line_ui(ui: &mut Ui, edge: eframe::egui::Color32, contents: impl FnOnce(&mut Ui)) {
    ui.add_space(theme::NEAR);
    Frame::NONE
        .fill(theme::palette(ui).card)
        .stroke(Stroke::new(1.5, edge))
        .corner_radius(theme::ROUND)
        .inner_margin(Margin::symmetric(14, 6))
        .show(ui, |ui| {
            ui.horizontal(|ui| {
                contents(ui);
                ui.take_available_width();
            });
        });
}
