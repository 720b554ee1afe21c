//! How far away the next flip is.

use leverlane_core::drill::Cue;
use leverlane_core::meter::Counting;
use leverlane_core::plan::Gesture;
use leverlane_core::time::Ticks;

use crate::state::{Look, Loop, PassPlace, Piece, Placed, Planned};
use crate::words::Words;

/// How far away the next flip is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Countdown<'a> {
    /// The gesture.
    pub gesture: &'a Gesture,
    /// Whether it brings a lever back at the seam of the loop.
    pub is_reset: bool,
    /// Counted beats until it is made, the one that has begun included; 0 on the flip beat itself.
    pub beats_left: u32,
}

impl Countdown<'_> {
    /// The count as one figure.
    pub fn figure(&self, words: Words) -> String {
        if self.beats_left == 0 { words.text("count-now") } else { self.beats_left.to_string() }
    }

    /// The count in words.
    pub fn in_words(&self, words: Words) -> String {
        match self.beats_left {
            0 => words.text("count-now"),
            1 => words.text("count-next"),
            beats => words.with("count-beats", [("beats", beats.into())]),
        }
    }
}

/// Where the eyes are to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Eyes {
    /// On the lever, from now on until the flip.
    OnLever,
    /// Back on the strings, before the next one is to be found.
    OnStrings,
}

/// Where the eyes are to be at a place in the pass; none while it doesn't matter.
pub fn eyes(looks: &[Look], at: Ticks) -> Option<Eyes> {
    looks.iter().find_map(|look| {
        let back = look.to_strings.filter(|back| *back > look.flip);
        match at {
            at if at >= look.to_lever && at <= look.flip => Some(Eyes::OnLever),
            at if at > look.flip && back.is_some_and(|back| at <= back) => Some(Eyes::OnStrings),
            _ => None,
        }
    })
}

/// A flip stays the one shown for so much of a beat after it was due, so that "now" can be seen.
const LINGER: f64 = 0.6;

/// The flip that comes next from a place in the loop, over the seam if need be; none in a loop without flips.
pub fn countdown<'a>(looped: &'a Loop, piece: &Piece, planned: &'a Planned, place: PassPlace) -> Option<Countdown<'a>> {
    let bars = piece.performance.bars();
    let beat_at = |at: Ticks| {
        let into = Ticks::new(at.get().rem_euclid(looped.timeline.length.get().max(1)));
        let bar = piece.performance.bar_at(looped.chunk.starts + into).clamp(looped.chunk.first, looped.chunk.last);
        let beats = bars.get(bar).map(|bar| bar.meter.beats(Counting::Beats)).unwrap_or_default();
        beats.first().copied().unwrap_or(Ticks::QUARTER)
    };
    let length = looped.timeline.length;
    looped
        .gestures(&planned.plan)
        .flat_map(|Placed { at, cue, gesture }| {
            let is_reset = matches!(cue, Cue::Reset(_));
            [at, at + length].map(|at| (at, gesture, is_reset))
        })
        .filter(|(at, ..)| {
            let linger = Ticks::new((beat_at(*at).get() as f64 * LINGER) as i64);
            place.at <= *at + linger
        })
        .min_by_key(|(at, ..)| *at)
        .map(|(at, gesture, is_reset)| {
            let beats_left = beats_until(place.at, at, beat_at(at));
            Countdown { gesture, is_reset, beats_left }
        })
}

/// Whole beats from a place to a flip, rounded up: the figure changes on the beat.
fn beats_until(from: Ticks, to: Ticks, beat: Ticks) -> u32 {
    let left = (to - from).get();
    if left <= 0 { 0 } else { u32::try_from((left + beat.get() - 1) / beat.get()).unwrap_or(u32::MAX) }
}

#[cfg(test)]
mod tests;
