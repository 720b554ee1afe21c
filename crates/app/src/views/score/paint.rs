//! How a system looks.

use eframe::egui::{Align2, Color32, Painter, Rect, Shape, Stroke, StrokeKind, TextureHandle, Ui, Vec2, pos2, vec2};
use leverlane_core::score::Hand;
use leverlane_core::time::Ticks;
use leverlane_core::verdict::NoteOutcome;
use leverlane_engraving::System;

use super::layout::Layout;
use super::model::{FlipPlace, NotePlace, ScoreModel, SystemModel};
use crate::names;
use crate::state::State;
use crate::theme::{self, Palette};
use crate::widgets::{MarkState, ResultMark, paint_flip_mark, paint_result_mark};

/// The part of a picture that is shown: all of it.
const WHOLE: Rect = Rect { min: pos2(0.0, 0.0), max: pos2(1.0, 1.0) };

/// A system in the window.
#[derive(Clone, Copy)]
pub struct Shown<'a> {
    /// Where all systems stand.
    pub layout: &'a Layout,
    /// Where this one stands in the window.
    pub place: Rect,
    /// Which one it is.
    pub index: usize,
    /// What stands on all of them.
    pub model: &'a ScoreModel,
    /// Where the loop is, if it sounds and has got to this system.
    pub moment: Option<Moment>,
}

/// The present moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Where it stands, in staff spaces from the left of its system.
    pub x: f32,
    /// From the start of the pass; below zero in the count-in.
    pub at: Ticks,
}

/// Draws a system and what stands on and under it.
pub fn system(state: &State, ui: &Ui, shown: &Shown<'_>, drawn: &System, picture: Option<TextureHandle>) {
    let Shown { layout, place, index, model, moment } = *shown;
    let palette = theme::palette(ui);
    let painter = ui.painter();
    let Some(system) = model.systems.get(index) else { return };
    bands(painter, palette, layout, place, system);
    for note in &system.notes {
        let sounds = moment.is_some_and(|moment| note.from <= moment.at && moment.at < note.until);
        if sounds || note.outcome.is_none() {
            note_behind(painter, palette, layout, place, note, sounds);
        }
    }
    match picture {
        Some(picture) => {
            let size = vec2(drawn.width, drawn.height) * layout.sizes().space;
            let _ = painter.image(picture.id(), Rect::from_min_size(place.min, size), WHOLE, palette.ink);
        }
        None => staves_alone(painter, layout, place, drawn, palette.line),
    }
    for note in &system.notes {
        if let Some(outcome) = note.outcome {
            note_result(painter, palette, layout.boxed(place, note.across, note.down), outcome);
        }
    }
    strip(painter, palette, layout, place, system);
    if index + 1 == model.systems.len() {
        seam(state, painter, palette, shown);
    }
    if let Some(moment) = moment {
        present(painter, palette, layout, place, moment);
    }
    for (flip, rect) in layout.flip_rects(painter, place, model, index) {
        let is_selected = flip.gesture().is_some() && flip.gesture() == state.drill.selected;
        flip_mark(painter, palette, layout, place, flip, rect, is_selected);
    }
}

/// Behind a system: the page it stands on.
pub fn page(ui: &Ui, place: Rect) {
    let palette = theme::palette(ui);
    let edge = Stroke::new(1.0, palette.line);
    ui.painter().rect(place.expand(4.0), theme::ROUND, palette.card, edge, StrokeKind::Outside);
}

/// Which staff is whose, before its beginning: a ring for the right hand, a diamond for the left, as everywhere.
pub fn hands(state: &State, ui: &Ui, shown: &Shown<'_>, drawn: &System) {
    let palette = theme::palette(ui);
    let words = state.words();
    // A cue line stands above both.
    for (staff, hand) in drawn.staves.iter().rev().zip([Hand::Left, Hand::Right]) {
        let (sign, ink) = match hand {
            Hand::Right => ("○", palette.right),
            Hand::Left => ("◆", palette.left),
        };
        let at = pos2(shown.place.left() - 2.0, shown.place.top() + staff.middle() * shown.layout.sizes().space);
        let text = format!("{sign} {}", names::hand_letter(words, hand));
        ui.painter().text(at, Align2::RIGHT_CENTER, text, theme::strong(15.0), ink);
    }
}

/// Bars that are chosen, or being chosen.
pub fn band(painter: &Painter, layout: &Layout, place: Rect, across: leverlane_engraving::Span, ink: Color32) {
    let band = Rect::from_x_y_ranges(
        layout.x(place, across.from)..=layout.x(place, across.to),
        place.top() + 2.0..=place.bottom() - 2.0,
    );
    painter.rect_filled(band, 0.0, ink.gamma_multiply(0.10));
    for x in [band.left(), band.right()] {
        painter.line_segment([pos2(x, band.top()), pos2(x, band.bottom())], Stroke::new(1.5, ink));
    }
}

fn bands(painter: &Painter, palette: &Palette, layout: &Layout, place: Rect, system: &SystemModel) {
    for (index, span) in system.looped.iter().enumerate() {
        band(painter, layout, place, *span, palette.accent);
        // What the ends can be taken by.
        let notation = layout.notation(place);
        let ends = [(index == 0, span.from), (index + 1 == system.looped.len(), span.to)];
        for (_, x) in ends.into_iter().filter(|(is_end, _)| *is_end) {
            let at = pos2(layout.x(place, x), notation.center().y);
            let grip = Rect::from_center_size(at, vec2(7.0, 30.0));
            painter.rect(grip, 3.0, palette.card, Stroke::new(1.5, palette.accent), StrokeKind::Inside);
        }
    }
}

/// A light behind each note of the loop: round for the right hand, pointed for the left; stronger while it sounds.
fn note_behind(painter: &Painter, palette: &Palette, layout: &Layout, place: Rect, note: &NotePlace, sounds: bool) {
    let head = layout.boxed(place, note.across, note.down);
    let (ink, strength) = match (note.hand, sounds) {
        (_, true) => (palette.accent, 0.6),
        (Hand::Left, false) => (palette.left, 0.26),
        (Hand::Right, false) => (palette.right, 0.26),
    };
    let ink = ink.gamma_multiply(strength);
    let reach = (head.size() * 0.5 + Vec2::splat(layout.sizes().space * 0.42)).max(Vec2::splat(5.0));
    let at = head.center();
    match note.hand {
        Hand::Right => {
            painter.add(Shape::ellipse_filled(at, reach, ink));
        }
        Hand::Left => {
            let (x, y) = (reach.x * 1.3, reach.y * 1.3);
            let corners = [vec2(-x, 0.0), vec2(0.0, -y), vec2(x, 0.0), vec2(0.0, y)].map(|corner| at + corner);
            painter.add(Shape::convex_polygon(corners.to_vec(), ink, Stroke::NONE));
        }
    }
}

/// A ring about a note that came; a cross over one that did not; a wedge about one whose lever stood wrong; dots about
/// one that could not be heard.
fn note_result(painter: &Painter, palette: &Palette, head: Rect, outcome: NoteOutcome) {
    let reach = head.width().max(head.height()) * 0.5;
    let at = head.center();
    match outcome {
        NoteOutcome::Hit => {
            painter.circle_stroke(at, reach + 3.0, Stroke::new(1.5, palette.accent));
        }
        NoteOutcome::Missed => {
            painter.circle_filled(at, reach + 2.0, palette.card.gamma_multiply(0.75));
            paint_result_mark(painter, palette, at, ResultMark::Cross, reach + 4.0);
        }
        NoteOutcome::WrongLever => {
            let far = reach + 7.0;
            let corners = vec![at + vec2(-far, far * 0.7), at + vec2(far, far * 0.7), at + vec2(0.0, -far)];
            painter.add(Shape::closed_line(corners, Stroke::new(2.5, palette.flip)));
        }
        NoteOutcome::NotHeard => {
            for step in 0..8 {
                let angle = std::f32::consts::TAU * step as f32 / 8.0;
                painter.circle_filled(at + Vec2::angled(angle) * (reach + 4.0), 1.3, palette.muted);
            }
        }
    }
}

fn strip(painter: &Painter, palette: &Palette, layout: &Layout, place: Rect, system: &SystemModel) {
    let strip = layout.strip(place);
    for (x, _) in &system.bars {
        let x = layout.x(place, *x);
        painter.line_segment([pos2(x, strip.top()), pos2(x, strip.bottom())], Stroke::new(1.0, palette.line));
    }
    for found in &system.beats {
        beat(painter, palette, layout, place, found.x, found.number);
    }
}

fn beat(painter: &Painter, palette: &Palette, layout: &Layout, place: Rect, x: f32, number: u32) {
    let (top, x) = (layout.strip(place).top(), layout.x(place, x));
    let (beats, numbers) = (layout.sizes().beats, layout.sizes().numbers);
    let (reach, ink) = if number == 1 { (0.36, palette.ink) } else { (0.23, palette.muted) };
    painter.line_segment([pos2(x, top), pos2(x, top + beats * reach)], Stroke::new(1.5, ink));
    let under = pos2(x, top + beats);
    painter.text(under, Align2::CENTER_BOTTOM, number.to_string(), theme::text(numbers), palette.muted);
}

/// Where the levers are brought back, before the next time round.
fn seam(state: &State, painter: &Painter, palette: &Palette, shown: &Shown<'_>) {
    let Shown { layout, place, model, .. } = *shown;
    let Some(seam) = &model.seam else { return };
    let notation = layout.notation(place);
    let across = layout.x(place, seam.across.from)..=layout.x(place, seam.across.to);
    painter.rect_filled(Rect::from_x_y_ranges(across, place.y_range()), 3.0, palette.ground);
    let at = pos2(layout.x(place, seam.across.from) + 6.0, notation.top() + 4.0);
    let says = state.words().text("strip-levers-back");
    painter.text(at, Align2::LEFT_TOP, says, theme::text(16.0), palette.muted);
    for &(x, number) in &seam.beats {
        beat(painter, palette, layout, place, x, number);
    }
}

fn present(painter: &Painter, palette: &Palette, layout: &Layout, place: Rect, moment: Moment) {
    let x = layout.x(place, moment.x);
    let ink = if moment.at < Ticks::ZERO { palette.accent.gamma_multiply(0.5) } else { palette.accent };
    let (top, bottom) = (place.top() + 2.0, layout.strip(place).top() + layout.sizes().beats);
    painter.line_segment([pos2(x, top), pos2(x, bottom)], Stroke::new(3.0, ink));
    let cap = vec![pos2(x - 8.0, top), pos2(x + 8.0, top), pos2(x, top + 11.0)];
    painter.add(Shape::convex_polygon(cap, ink, Stroke::NONE));
}

fn flip_mark(
    painter: &Painter,
    palette: &Palette,
    layout: &Layout,
    place: Rect,
    flip: &FlipPlace,
    rect: Rect,
    is_selected: bool,
) {
    let (beat, top) = (layout.x(place, flip.x), layout.strip(place).top());
    let stem = Stroke::new(1.5, palette.flip);
    painter.line_segment([pos2(beat, top), pos2(beat, rect.top())], stem);
    if rect.left() > beat {
        painter.line_segment([pos2(beat, rect.top()), rect.left_top()], stem);
    }
    let state = if is_selected { MarkState::Foremost } else { MarkState::Ordinary };
    let size = layout.sizes().mark;
    let mark = paint_flip_mark(painter, palette, pos2(rect.left(), rect.center().y), &flip.mark, size, state);
    if let Some(outcome) = flip.outcome {
        let at = mark.right_top() + vec2(2.0, 0.0);
        let edge = Stroke::new(1.5, ResultMark::from(outcome).ink(palette));
        painter.circle(at, 10.0, palette.card, edge);
        paint_result_mark(painter, palette, at, ResultMark::from(outcome), 6.5);
    }
}

/// Until the picture is there: the lines of the staves.
fn staves_alone(painter: &Painter, layout: &Layout, place: Rect, drawn: &System, ink: Color32) {
    for staff in &drawn.staves {
        for line in 0..5 {
            let part = line as f32 / 4.0;
            let y = place.top() + (staff.from + (staff.to - staff.from) * part) * layout.sizes().space;
            painter.line_segment([pos2(place.left(), y), pos2(place.right(), y)], Stroke::new(1.0, ink));
        }
    }
}
