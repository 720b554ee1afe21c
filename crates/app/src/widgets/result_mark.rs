//! What became of something, by shape: a tick, a cross, a dash. The colour only helps.

use eframe::egui::{Color32, Painter, Pos2, Stroke, vec2};
use leverlane_core::drill::PassResult;

use crate::theme::Palette;

/// What became of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ResultMark {
    /// It is as it should be.
    Tick,
    /// It isn't.
    Cross,
    /// It can't be told.
    Dash,
}

impl From<PassResult> for ResultMark {
    fn from(result: PassResult) -> ResultMark {
        match result {
            PassResult::Clean => ResultMark::Tick,
            PassResult::Missed => ResultMark::Cross,
            PassResult::Unheard => ResultMark::Dash,
        }
    }
}

impl ResultMark {
    /// The colour that goes with the shape.
    pub fn ink(self, palette: &Palette) -> Color32 {
        match self {
            ResultMark::Tick => palette.accent,
            ResultMark::Cross => palette.alarm,
            ResultMark::Dash => palette.muted,
        }
    }
}

/// Draws a mark about a place; it reaches as far as `reach` to each side.
pub fn paint_result_mark(painter: &Painter, palette: &Palette, at: Pos2, mark: ResultMark, reach: f32) {
    let stroke = Stroke::new((reach / 3.0).clamp(1.5, 8.0), mark.ink(palette));
    let line = |from: [f32; 2], to: [f32; 2]| {
        let point = |[x, y]: [f32; 2]| at + vec2(x, y) * reach;
        painter.line_segment([point(from), point(to)], stroke);
    };
    match mark {
        ResultMark::Tick => {
            line([-0.8, 0.1], [-0.2, 0.8]);
            line([-0.2, 0.8], [0.9, -0.8]);
        }
        ResultMark::Cross => {
            line([-0.7, -0.7], [0.7, 0.7]);
            line([-0.7, 0.7], [0.7, -0.7]);
        }
        ResultMark::Dash => line([-0.6, 0.0], [0.6, 0.0]),
    }
}
