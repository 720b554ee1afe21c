//! One of several choices that stand beside each other.

use eframe::egui::{Button, RichText, Role, Ui, WidgetInfo};

use crate::theme;

/// A choice; the present one is filled. Screen readers hear `name`. Whether it was just chosen.
pub fn choice_button_ui(ui: &mut Ui, label: &str, name: &str, is_present: bool) -> bool {
    let palette = theme::palette(ui);
    let (fill, ink) = if is_present { (palette.accent, palette.on_accent) } else { (palette.card, palette.ink) };
    let response = ui.add(Button::new(RichText::new(label).color(ink)).fill(fill));
    response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, is_present, name));
    response.clicked()
}
