//! Help on one screen, cautions included.

use eframe::egui::{Align, Frame, Grid, Layout, Margin, RichText, ScrollArea, Ui};

use crate::intent::Intent;
use crate::theme;
use crate::views::sheets::heading_ui;
use crate::widgets::muted;
use crate::words::Words;

const KEYS: [(&str, &str); 18] = [
    ("Space, Enter", "help-key-start"),
    ("Page Down, →", "help-key-next"),
    ("Page Up, ←", "help-key-previous"),
    ("↑ ↓, + −", "help-key-tempo"),
    ("G", "help-key-goal"),
    ("K; C, W; M", "help-key-ladder"),
    ("E, U", "help-key-listening"),
    ("B", "help-key-size"),
    ("Shift ↑, Shift ↓", "help-key-wanted"),
    ("H, T, P", "help-key-harp"),
    ("1 2, 3 4, 5 6", "help-key-voices"),
    ("L, R", "help-key-hands"),
    ("Alt ←, Alt →", "help-key-move"),
    ("X, F, S, Del", "help-key-edit"),
    ("Ctrl O, Ctrl S, Ctrl D", "help-key-files"),
    ("Ctrl 1 2 3 4", "help-key-places"),
    ("Ctrl Z, Ctrl Y", "help-key-undo"),
    ("Esc", "help-key-escape"),
];

const READING: [&str; 4] = ["help-reading-1", "help-reading-2", "help-reading-3", "help-reading-4"];

const CAUTIONS: [&str; 4] = ["help-caution-1", "help-caution-2", "help-caution-3", "help-caution-4"];

/// Draws the page.
pub fn help_ui(words: Words, ui: &mut Ui, intents: &mut Vec<Intent>) {
    heading_ui(words, &words.text("head-help"), ui, intents);
    ScrollArea::vertical().show(ui, |ui| {
        ui.columns(2, |columns| {
            card_ui(&mut columns[0], &words.text("help-keys"), |ui| {
                Grid::new("keys").num_columns(2).spacing([24.0, 7.0]).show(ui, |ui| {
                    for (key, what) in KEYS {
                        ui.label(RichText::new(key).font(theme::strong(18.0)));
                        ui.label(words.text(what));
                        ui.end_row();
                    }
                });
            });
            card_ui(&mut columns[1], &words.text("help-reading"), |ui| paragraphs_ui(words, ui, &READING));
            card_ui(&mut columns[1], &words.text("help-cautions"), |ui| paragraphs_ui(words, ui, &CAUTIONS));
        });
        ui.add_space(theme::NEAR);
        let version = env!("CARGO_PKG_VERSION");
        ui.label(muted(ui, words.with("help-version", [("version", version.into())])));
    });
}

fn paragraphs_ui(words: Words, ui: &mut Ui, paragraphs: &[&str]) {
    for paragraph in paragraphs {
        ui.label(words.text(paragraph));
    }
}

fn card_ui(ui: &mut Ui, title: &str, contents: impl FnOnce(&mut Ui)) {
    ui.add_space(theme::NEAR);
    Frame::NONE.fill(theme::palette(ui).card).corner_radius(theme::ROUND).inner_margin(Margin::same(18)).show(
        ui,
        |ui| {
            ui.take_available_width();
            ui.with_layout(Layout::top_down(Align::Min), |ui| {
                ui.label(RichText::new(title).font(theme::strong(22.0)));
                ui.add_space(4.0);
                contents(ui);
            });
        },
    );
}
