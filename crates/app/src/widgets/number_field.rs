//! A number to drag or to type, written as the player's language writes it.

use std::ops::RangeInclusive;

use eframe::egui::{DragValue, Role, Ui, WidgetInfo};

use crate::words::Words;

/// A number with a decimal at most; typed with a point or a comma. Screen readers hear `name`.
pub fn number_field_ui(
    words: Words,
    ui: &mut Ui,
    value: &mut f64,
    range: RangeInclusive<f64>,
    speed: f64,
    name: impl Into<String>,
) {
    let field = DragValue::new(value)
        .range(range)
        .speed(speed)
        .max_decimals(1)
        .custom_formatter(|number, _| words.number(number))
        .custom_parser(|typed| typed.trim().replace(',', ".").parse().ok());
    let name = name.into();
    ui.add(field).widget_info(|| WidgetInfo::labeled(Role::SpinButton, true, &name));
}
