//! Which levers to set before the first note, in words and as a picture.

mod model;

pub use model::setting_in_words;

use eframe::egui::{RichText, Role, Ui, WidgetInfo, vec2};
use leverlane_core::harp::{Harp, Setting};

use crate::state::Settings;
use crate::theme;
use crate::widgets::{harp_drawing_ui, muted};

/// How large the words are, and how high the picture.
#[derive(Clone, Copy, Debug)]
pub struct SettingSizes {
    /// The levers' names, in points.
    pub words: f32,
    /// The picture.
    pub height: f32,
}

/// Draws a setting; `after` says below it what comes then.
pub fn setting_ui(settings: &Settings, harp: &Harp, setting: &Setting, after: &str, sizes: SettingSizes, ui: &mut Ui) {
    let words = settings.words;
    let levers = setting_in_words(words, harp, setting);
    let none = levers == words.text("levers-none");
    ui.horizontal_top(|ui| {
        let drawing = (ui.available_width() * 0.46).clamp(240.0, 640.0);
        let width = ui.available_width() - drawing - theme::FAR;
        ui.vertical(|ui| {
            ui.set_width(width);
            let (heading, shown) = if none {
                (words.text("set-up-none-heading"), words.text("set-up-none"))
            } else {
                (words.text("set-up-heading"), levers.clone())
            };
            ui.label(muted(ui, heading));
            let size = match shown.chars().count() {
                0..40 => 1.28,
                40..72 => 1.0,
                _ => 0.8,
            } * sizes.words;
            let response = ui.label(RichText::new(shown).font(theme::display(size)).color(theme::palette(ui).flip));
            let spoken = words.with("set-up-spoken", [("levers", levers.clone().into())]);
            response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &spoken));
            if !after.is_empty() {
                ui.add_space(6.0);
                ui.label(RichText::new(after).font(theme::text(sizes.words * 0.8)));
            }
        });
        let name = words.with("set-up-harp-spoken", [("levers", levers.into())]);
        harp_drawing_ui(ui, words, settings.side, harp, setting, vec2(drawing, sizes.height), &name);
    });
}
