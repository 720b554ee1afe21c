//! A button that shows the key which does the same.

use eframe::egui::{Button, Response, RichText, Role, TextFormat, Ui, WidgetInfo, text::LayoutJob};

use crate::theme;

/// How much a button asks to be pressed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weight {
    /// The thing to do here.
    Main,
    /// Any other.
    Plain,
}

/// A button with its key beside the words; screen readers hear `name`.
pub fn key_button_ui(ui: &mut Ui, label: &str, key: &str, name: &str, weight: Weight) -> Response {
    let palette = theme::palette(ui);
    let (ink, soft, size) = match weight {
        Weight::Main => (palette.on_accent, palette.on_accent, 22.0),
        Weight::Plain => (palette.ink, palette.muted, 18.0),
    };
    let mut words = LayoutJob::default();
    let font = if weight == Weight::Main { theme::strong(size) } else { theme::text(size) };
    words.append(label, 0.0, TextFormat::simple(font, ink));
    if !key.is_empty() {
        words.append(key, 10.0, TextFormat::simple(theme::text(15.0), soft));
    }
    let mut button = Button::new(words);
    if weight == Weight::Main {
        button = button.fill(palette.accent);
    }
    let response = ui.add(button);
    let enabled = ui.is_enabled();
    response.widget_info(|| WidgetInfo::labeled(Role::Button, enabled, name));
    response
}

/// Muted words.
pub fn muted(ui: &Ui, words: impl Into<String>) -> RichText {
    RichText::new(words).color(theme::palette(ui).muted)
}
