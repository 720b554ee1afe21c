//! Help on one screen, cautions included.

use eframe::egui::{Align, Frame, Grid, Layout, Margin, RichText, ScrollArea, Ui};

use crate::intent::Intent;
use crate::theme;
use crate::widgets::{Weight, key_button_ui, muted};

const KEYS: [(&str, &str); 12] = [
    ("Space, Enter", "start or stop the loop"),
    ("Page Down, →", "next flip"),
    ("Page Up, ←", "previous flip"),
    ("↑ ↓, + −", "practise faster, slower"),
    ("G", "practise at the wanted tempo"),
    ("B", "more or fewer bars around the flip"),
    ("Shift ↑, Shift ↓", "raise, lower the wanted tempo"),
    ("H, T, P", "next harp, tuning, pace"),
    ("1 2, 3 4, 5 6", "click, cue tone, notes: softer, louder"),
    ("L, R", "left, right hand heard or silent"),
    ("Ctrl O, Ctrl D", "open a file, the demo piece"),
    ("Esc", "close this page, a message, or stop"),
];

const READING: [&str; 4] = [
    "Time runs to the left; what stands on the upright line sounds now.",
    "Each string is a line. Where its lever goes up the line rises a step, where it goes down it falls.",
    "Rings are plucked by the right hand, diamonds by the left; the tail is how long the note is written.",
    "A mark such as L F♯↑ says: left hand, the lever that makes F♯, up. Pointed at the left it is the left hand's, at \
     the right the right hand's. A mark with ! has too little time at the wanted tempo.",
];

const CAUTIONS: [&str; 4] = [
    "Keep it soft: a click through headphones need not be louder than your harp. Loudness adds up over hours.",
    "Stop when something hurts, tingles or goes numb, and rest for ten minutes in every hour.",
    "Reach for the lever with the whole arm, shoulder low; begin slowly, raise the tempo in small steps.",
    "When you retune a string, keep your face away from it: a string tuned too high can snap.",
];

/// Draws the page.
pub fn help_ui(ui: &mut Ui, intents: &mut Vec<Intent>) {
    ui.horizontal(|ui| {
        ui.label(RichText::new("Help").font(theme::display(30.0)));
        if key_button_ui(ui, "Back to the piece", "Esc", "Close help", Weight::Main).clicked() {
            intents.push(Intent::SwitchHelp);
        }
    });
    ScrollArea::vertical().show(ui, |ui| {
        ui.columns(2, |columns| {
            card_ui(&mut columns[0], "Keys and pedals", |ui| {
                Grid::new("keys").num_columns(2).spacing([24.0, 7.0]).show(ui, |ui| {
                    for (key, what) in KEYS {
                        ui.label(RichText::new(key).font(theme::strong(18.0)));
                        ui.label(what);
                        ui.end_row();
                    }
                });
            });
            card_ui(&mut columns[1], "How to read the strip", |ui| paragraphs_ui(ui, &READING));
            card_ui(&mut columns[1], "Mind your ears and hands", |ui| paragraphs_ui(ui, &CAUTIONS));
        });
        ui.add_space(theme::NEAR);
        let version = env!("CARGO_PKG_VERSION");
        ui.label(muted(
            ui,
            format!("Leverlane {version}, MIT OR Apache-2.0. Type: Libertinus Serif, SIL Open Font License 1.1."),
        ));
    });
}

fn paragraphs_ui(ui: &mut Ui, paragraphs: &[&str]) {
    for paragraph in paragraphs {
        ui.label(*paragraph);
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
