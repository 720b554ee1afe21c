//! Bars without notes: boxes with their beats, and the flips over and under them.

use leverlane_core::meter::Counting;
use leverlane_core::plan::FlipMark;
use leverlane_core::score::{Bar, Hand};
use leverlane_core::time::Ticks;

use super::text::{Anchor, Drawn, Weight, about_width};
use super::{MARGIN, PAGE, Points};
use crate::drawing::Music;

/// A row of bars.
pub(super) struct Row {
    pub(super) svg: String,
    pub(super) width: Points,
    pub(super) height: Points,
}

const BARS_IN_A_ROW: usize = 4;
const BOX: Points = 34.0;
const TEXT: Points = 12.0;
const MARK: Points = 20.0;
const GAP: Points = 14.0;

/// The rows of a passage.
pub(super) fn rows(music: &Music) -> Vec<Row> {
    let bars: Vec<(usize, &Bar)> = music.score.bars().iter().enumerate().collect();
    bars.chunks(BARS_IN_A_ROW).map(|bars| row(bars, music)).collect()
}

fn row(bars: &[(usize, &Bar)], music: &Music) -> Row {
    let width = PAGE.0 - 2.0 * MARGIN;
    let bar_width = width / BARS_IN_A_ROW as f32;
    let lanes =
        |hand: Hand| bars.iter().map(|(index, _)| most_together(&marks(music, *index, hand))).max().unwrap_or(0);
    let above = lanes(Hand::Right) as f32 * MARK;
    let below = lanes(Hand::Left) as f32 * MARK;
    let mut drawn = Drawn::default();
    for (place, (index, bar)) in bars.iter().enumerate() {
        let left = place as f32 * bar_width;
        drawn.frame((left + 0.4, above), (bar_width - 0.8, BOX), 0.8);
        drawn.text((left + 5.0, above + 12.0), TEXT, Anchor::Start, Weight::Bold, &bar.number);
        if shows_meter(music, *index) {
            let right = (left + bar_width - 5.0, above + 12.0);
            drawn.text(right, TEXT * 0.9, Anchor::End, Weight::Regular, &bar.meter.to_string());
        }
        beats(bar, left, bar_width, above, &mut drawn);
        for hand in Hand::BOTH {
            for (at, marks) in by_place(&marks(music, *index, hand)) {
                let x = x_in_bar(bar, at, left, bar_width);
                let edge = if hand == Hand::Right { above } else { above + BOX };
                for (lane, mark) in marks.iter().enumerate() {
                    let down = if hand == Hand::Right { -(lane as f32 + 1.0) } else { lane as f32 };
                    boxed(&mark.text.to_string(), (x, edge + down * MARK), (left, left + bar_width), &mut drawn);
                }
            }
        }
    }
    let height = above + BOX + below;
    Row { svg: drawn.finish(width, height + 1.0), width, height: height + GAP }
}

fn marks(music: &Music, bar: usize, hand: Hand) -> Vec<&FlipMark> {
    music.marks.iter().filter(|mark| mark.bar.get() == bar && mark.hand == hand).collect()
}

fn by_place<'a>(marks: &[&'a FlipMark]) -> Vec<(Ticks, Vec<&'a FlipMark>)> {
    marks.chunk_by(|one, next| one.at == next.at).map(|together| (together[0].at, together.to_vec())).collect()
}

fn most_together(marks: &[&FlipMark]) -> usize {
    by_place(marks).iter().map(|(_, together)| together.len()).max().unwrap_or(0)
}

fn shows_meter(music: &Music, index: usize) -> bool {
    let bars = music.score.bars();
    index == 0 || bars.get(index - 1).map(|before| &before.meter) != bars.get(index).map(|bar| &bar.meter)
}

/// Beats stand at the same distances, with room for half a beat at the left.
fn x_in_bar(bar: &Bar, at: Ticks, left: Points, width: Points) -> Points {
    let part = (at.quarters() / bar.length.quarters()) as f32;
    left + 16.0 + part * (width - 20.0)
}

fn beats(bar: &Bar, left: Points, width: Points, top: Points, drawn: &mut Drawn) {
    let mut at = Ticks::ZERO - bar.anacrusis;
    for (number, length) in bar.meter.beats(Counting::Beats).into_iter().enumerate() {
        if at >= Ticks::ZERO && at < bar.length {
            let x = x_in_bar(bar, at, left, width);
            drawn.line((x, top + BOX), (x, top + BOX - 5.0), 0.8);
            let under = (x, top + BOX - 7.5);
            drawn.text(under, TEXT * 0.8, Anchor::Middle, Weight::Regular, &(number + 1).to_string());
        }
        at += length;
    }
}

/// A mark in its frame, kept within its bar.
fn boxed(text: &str, (x, top): (Points, Points), (left, right): (Points, Points), drawn: &mut Drawn) {
    let width = about_width(text, TEXT) + 7.0;
    let middle = x.clamp(left + width / 2.0, (right - width / 2.0).max(left + width / 2.0));
    drawn.frame((middle - width / 2.0, top + 2.0), (width, MARK - 4.0), 0.7);
    drawn.text((middle, top + MARK - 6.0), TEXT, Anchor::Middle, Weight::Bold, text);
}
