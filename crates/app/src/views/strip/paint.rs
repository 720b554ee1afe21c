//! How the strip looks.

use eframe::egui::{Align2, Color32, Painter, Pos2, Rect, Shape, Stroke, StrokeKind, Ui, pos2};
use leverlane_core::drill::{Accent, Cue};
use leverlane_core::harp::LeverState;
use leverlane_core::pitch::Letter;
use leverlane_core::score::Hand;
use leverlane_core::time::Ticks;

use super::layout::{Layout, MARK_SIZE};
use super::model::{Click, Dot, Lane, StripModel};
use crate::theme::{self, Palette};
use crate::widgets::{MarkState, paint_flip_mark};
use crate::words::Words;

/// What of the strip is in the foreground.
pub(super) struct Moment {
    /// The flip that comes next.
    pub next: Option<usize>,
    /// The selected gesture.
    pub selected: Option<usize>,
    /// Whether the loop sounds.
    pub playing: bool,
}

pub(super) fn paint(words: Words, ui: &Ui, layout: &Layout, model: &StripModel, moment: &Moment) {
    let palette = theme::palette(ui);
    let whole = ui.painter_at(layout.whole);
    whole.rect(layout.whole, theme::ROUND, palette.card, Stroke::new(1.0, palette.line), StrokeKind::Inside);
    let inside = layout.whole.shrink(2.0).with_min_x(layout.strings.left());
    let painter = ui.painter_at(inside);
    for round in layout.rounds(model.length) {
        bars(words, &painter, palette, layout, model, round);
    }
    for (index, lane) in model.lanes.iter().enumerate() {
        for round in layout.rounds(model.length) {
            string(&painter, palette, layout, model, index, lane, round);
        }
        lane_name(&whole, palette, layout, model, index);
    }
    for round in layout.rounds(model.length) {
        for dot in &model.plucks {
            pluck(&painter, palette, layout, model, dot, round);
        }
        for click_mark in &model.clicks {
            click(&painter, palette, layout, model.length, click_mark, round);
        }
    }
    if *layout.rounds(model.length).start() == 0 {
        for click_mark in &model.count_in {
            click(&painter, palette, layout, model.length, click_mark, 0);
        }
    }
    present(words, &painter, palette, layout, moment);
    flips(&painter, palette, layout, model, moment);
}

fn bars(words: Words, painter: &Painter, palette: &Palette, layout: &Layout, model: &StripModel, round: i64) {
    let (seam, end) = (layout.x(model.music, model.length, round), layout.x(model.length, model.length, round));
    if end > seam {
        let reset = Rect::from_x_y_ranges(seam..=end, layout.strings.top()..=layout.clicks.bottom());
        painter.rect_filled(reset, 0.0, palette.ground);
        if layout.sees(seam, end) {
            let at = pos2(seam + 5.0, layout.clicks.bottom() - 6.0);
            painter.text(at, Align2::LEFT_BOTTOM, words.text("strip-levers-back"), theme::text(16.0), palette.muted);
        }
    }
    for (at, number) in &model.bars {
        let x = layout.x(*at, model.length, round);
        if !layout.sees(x - 40.0, x + 40.0) {
            continue;
        }
        let span = layout.strings.top()..=layout.clicks.bottom() - 26.0;
        painter.line_segment([pos2(x, *span.start()), pos2(x, *span.end())], Stroke::new(1.0, palette.line));
        if !number.is_empty() {
            let text = words.with("bar-numbered", [("bar", number.clone().into())]);
            let at = pos2(x + 5.0, layout.clicks.bottom() - 6.0);
            painter.text(at, Align2::LEFT_BOTTOM, text, theme::text(16.0), palette.muted);
        }
    }
}

fn string_stroke(palette: &Palette, letter: Letter) -> Stroke {
    match letter {
        Letter::C => Stroke::new(1.5, palette.c_string),
        Letter::F => Stroke::new(1.5, palette.f_string),
        _ => Stroke::new(1.0, palette.string),
    }
}

/// A string's line, a step higher wherever its lever is up.
fn string(
    painter: &Painter,
    palette: &Palette,
    layout: &Layout,
    model: &StripModel,
    index: usize,
    lane: &Lane,
    round: i64,
) {
    let x = |at| layout.x(at, model.length, round);
    let mut points: Vec<Pos2> = Vec::with_capacity(2 * lane.levels.len() + 2);
    // Before the first pass the strings already stand as the loop begins.
    let begins = if round == *layout.rounds(model.length).start() { layout.strings.left() } else { x(Ticks::ZERO) };
    for (number, &(at, state)) in lane.levels.iter().enumerate() {
        let y = layout.height(index, state);
        let from = if number == 0 { begins } else { x(at) };
        if let Some(last) = points.last() {
            points.push(pos2(from, last.y));
        }
        points.push(pos2(from, y));
    }
    if let Some(last) = points.last() {
        points.push(pos2(x(model.length), last.y));
    }
    painter.add(Shape::line(points, string_stroke(palette, lane.letter)));
    // What a flip has changed stands out until it is changed back.
    let home = lane.levels.first().map_or(LeverState::Down, |level| level.1);
    for (number, &(at, state)) in lane.levels.iter().enumerate() {
        let until = lane.levels.get(number + 1).map_or(model.length, |next| next.0);
        if state != home && layout.sees(x(at), x(until)) {
            let y = layout.height(index, state);
            painter.line_segment([pos2(x(at), y), pos2(x(until), y)], Stroke::new(2.6, palette.flip));
        }
    }
}

fn lane_name(painter: &Painter, palette: &Palette, layout: &Layout, model: &StripModel, index: usize) {
    let lane = &model.lanes[index];
    let flips = lane.levels.len() > 1;
    // Where strings are close the flipped ones are named first, then Cs and Fs that have room beside them.
    let near = (14.0 / layout.lane_step()).ceil() as usize;
    let crowded = model
        .lanes
        .iter()
        .enumerate()
        .any(|(other, lane)| other != index && other.abs_diff(index) < near && lane.levels.len() > 1);
    let is_mark = matches!(lane.letter, Letter::C | Letter::F);
    if !flips && (crowded || !is_mark && layout.lane_step() < 15.0) {
        return;
    }
    let ink = match lane.letter {
        Letter::C => palette.c_string,
        Letter::F => palette.f_string,
        _ => palette.muted,
    };
    let size = layout.lane_step().clamp(12.0, 16.0);
    let font = if flips { theme::display(size) } else { theme::text(size) };
    let at = pos2(layout.strings.left() - 8.0, layout.lane(index));
    painter.text(at, Align2::RIGHT_CENTER, &lane.name, font, ink);
}

fn pluck(painter: &Painter, palette: &Palette, layout: &Layout, model: &StripModel, dot: &Dot, round: i64) {
    let (x, until) = (layout.x(dot.at, model.length, round), layout.x(dot.until, model.length, round));
    if !layout.sees(x - 10.0, until) {
        return;
    }
    let ink = match dot.hand {
        Hand::Left => palette.left,
        Hand::Right => palette.right,
    };
    let size = layout.dot();
    let Some(lane) = dot.lane else {
        // No string can play it: a cross at the foot of the strings.
        let at = pos2(x, layout.strings.bottom());
        painter.text(at, Align2::CENTER_BOTTOM, "×", theme::display(22.0), palette.alarm);
        return;
    };
    let y = layout.height(lane, model.lanes[lane].level_at(dot.at));
    let tail = (until - 5.0).max(x);
    painter.line_segment([pos2(x, y), pos2(tail, y)], Stroke::new(3.0, ink.gamma_multiply(0.55)));
    match dot.hand {
        Hand::Right => {
            painter.circle(pos2(x, y), size, palette.card, Stroke::new(2.4, ink));
        }
        Hand::Left => {
            let reach = size * 1.45;
            let corners = vec![pos2(x - reach, y), pos2(x, y - reach), pos2(x + reach, y), pos2(x, y + reach)];
            painter.add(Shape::convex_polygon(corners, ink, Stroke::NONE));
        }
    }
}

fn click(painter: &Painter, palette: &Palette, layout: &Layout, length: Ticks, click: &Click, round: i64) {
    let x = layout.x(click.at, length, round);
    if !layout.sees(x - 20.0, x + 20.0) {
        return;
    }
    let (height, width) = match click.accent {
        Accent::Bar => (20.0, 4.0),
        Accent::Beat => (12.0, 3.0),
        Accent::Division => (6.0, 1.5),
    };
    let foot = layout.clicks.top() + 22.0;
    painter.line_segment([pos2(x, foot - height), pos2(x, foot)], Stroke::new(width, palette.ink));
    if click.accent != Accent::Division {
        let size = if click.accent == Accent::Bar { 20.0 } else { 18.0 };
        let font = if click.accent == Accent::Bar { theme::display(size) } else { theme::text(size) };
        painter.text(pos2(x, foot + 2.0), Align2::CENTER_TOP, click.count, font, palette.ink);
    }
}

fn present(words: Words, painter: &Painter, palette: &Palette, layout: &Layout, moment: &Moment) {
    let x = layout.line;
    let (top, bottom) = (layout.flips.top() + 8.0, layout.clicks.top() + 24.0);
    let width = if moment.playing { 3.0 } else { 2.0 };
    painter.line_segment([pos2(x, top), pos2(x, bottom)], Stroke::new(width, palette.accent));
    let cap = vec![pos2(x - 9.0, top), pos2(x + 9.0, top), pos2(x, top + 12.0)];
    painter.add(Shape::convex_polygon(cap, palette.accent, Stroke::NONE));
    let word = if moment.playing { words.text("strip-now") } else { words.text("strip-start") };
    painter.text(pos2(x - 12.0, top - 2.0), Align2::RIGHT_TOP, word, theme::text(16.0), palette.accent);
}

fn flips(painter: &Painter, palette: &Palette, layout: &Layout, model: &StripModel, moment: &Moment) {
    for (round, index, rect) in layout.flip_rects(painter, model) {
        let flip = &model.flips[index];
        let x = layout.x(flip.at, model.length, round);
        let is_next = moment.next == Some(index);
        let is_selected = matches!(flip.cue, Cue::Planned(gesture) if moment.selected == Some(gesture));
        let foremost = if moment.playing { is_next } else { is_selected };
        stem(painter, palette.flip, layout, x, rect);
        for &lane in &flip.lanes {
            let to = model.lanes[lane].level_at(flip.at);
            step_mark(painter, palette.flip, pos2(x, layout.lane(lane) - layout.lift() / 2.0), to);
        }
        let state = if foremost { MarkState::Foremost } else { MarkState::Ordinary };
        paint_flip_mark(painter, palette, pos2(x, rect.center().y), &flip.mark, MARK_SIZE, state);
    }
}

/// From the mark down to the click it falls on.
fn stem(painter: &Painter, ink: Color32, layout: &Layout, x: f32, mark: Rect) {
    let bottom = layout.clicks.top() + 22.0;
    painter.extend(Shape::dashed_line(&[pos2(x, mark.bottom()), pos2(x, bottom)], Stroke::new(1.6, ink), 5.0, 4.0));
}

/// A wedge on the string, pointing the way its lever goes.
fn step_mark(painter: &Painter, ink: Color32, at: Pos2, to: LeverState) {
    let reach = 7.0;
    let tip = match to {
        LeverState::Up => at.y - reach,
        LeverState::Down => at.y + reach,
    };
    let base = 2.0 * at.y - tip;
    let corners = vec![pos2(at.x - reach, base), pos2(at.x + reach, base), pos2(at.x, tip)];
    painter.add(Shape::convex_polygon(corners, ink, Stroke::NONE));
}
