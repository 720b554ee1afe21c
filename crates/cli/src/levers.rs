//! Lever settings in answers.

use leverlane_core::harp::{Harp, Setting};
use serde::Serialize;

/// One string's lever: `{"string","open","to"}`, the string's number from the top, its open pitch, "up" or "down".
#[derive(Debug, Serialize)]
pub struct LeverAnswer {
    string: u8,
    open: String,
    to: String,
}

/// Every string of the harp from the top.
pub fn levers(harp: &Harp, setting: &Setting) -> Vec<LeverAnswer> {
    let each = harp.numbered().map(|(number, string)| LeverAnswer {
        string: number.get(),
        open: string.open.ascii(),
        to: setting.of(number).to_string(),
    });
    each.collect()
}
