//! What the strip shows, derived once for each loop.

use leverlane_core::drill::{Accent, Cue, EventKind};
use leverlane_core::harp::{LeverState, StringNumber};
use leverlane_core::pitch::Letter;
use leverlane_core::plan::Gesture;
use leverlane_core::score::Hand;
use leverlane_core::time::Ticks;

use crate::names;
use crate::state::{Loop, Piece, Placed, Planned};
use crate::widgets::FlipMark;
use crate::words::Words;

/// One pass through the loop; all times from its start.
#[derive(Clone, Debug, PartialEq)]
pub struct StripModel {
    /// How long a pass is, resets included.
    pub length: Ticks,
    /// Where the music ends and the reset bars begin.
    pub music: Ticks,
    /// Bar lines with the bars' printed numbers; a reset bar has none.
    pub bars: Vec<(Ticks, String)>,
    /// Clicks, and the count within the bar.
    pub clicks: Vec<Click>,
    /// The count-in's clicks, before the start.
    pub count_in: Vec<Click>,
    /// The strings shown, from the top.
    pub lanes: Vec<Lane>,
    /// The plucks.
    pub plucks: Vec<Dot>,
    /// The flips, by time.
    pub flips: Vec<FlipPlace>,
}

/// A click of the click track.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Click {
    /// When.
    pub at: Ticks,
    /// How strong.
    pub accent: Accent,
    /// The beat's number in its bar, from 1.
    pub count: u32,
}

/// A string of the strip.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lane {
    /// Which string.
    pub string: StringNumber,
    /// Its letter and octave.
    pub name: String,
    /// Its letter.
    pub letter: Letter,
    /// Where its lever stands, from each moment on; the first entry is the start.
    pub levels: Vec<(Ticks, LeverState)>,
}

impl Lane {
    /// Where the lever stands at a moment.
    pub fn level_at(&self, at: Ticks) -> LeverState {
        self.levels.iter().rev().find(|(from, _)| *from <= at).or(self.levels.first()).map_or(LeverState::Down, |l| l.1)
    }
}

/// A pluck.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dot {
    /// When.
    pub at: Ticks,
    /// Where its written length ends.
    pub until: Ticks,
    /// Its lane; none where no string can play it.
    pub lane: Option<usize>,
    /// The hand.
    pub hand: Hand,
}

/// A flip's place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FlipPlace {
    /// The flip beat.
    pub at: Ticks,
    /// Which flip.
    pub cue: Cue,
    /// Its mark.
    pub mark: FlipMark,
    /// The lanes of its strings.
    pub lanes: Vec<usize>,
    /// For the ear.
    pub spoken: String,
}

impl StripModel {
    /// The strip of a loop.
    pub fn new(words: Words, piece: &Piece, planned: &Planned, looped: &Loop) -> StripModel {
        let chunk = &looped.chunk;
        let bars = piece.performance.bars().get(chunk.first..=chunk.last).unwrap_or_default();
        let (start, music) = (chunk.starts, chunk.music_length());
        let gestures: Vec<Placed<'_>> = looped.gestures(&planned.plan).collect();
        let lanes = lanes(words, planned, looped, &gestures);
        let lane_of = |string: StringNumber| lanes.iter().position(|lane| lane.string == string);
        let plucks = looped
            .timeline
            .events
            .iter()
            .filter_map(|event| match event.kind {
                EventKind::Pluck { hand, pluck, .. } => {
                    let written = piece.performance.plucks().get(pluck)?;
                    let lane =
                        planned.plan.strings.get(pluck).copied().flatten().and_then(|(string, _)| lane_of(string));
                    Some(Dot { at: event.at, until: event.at + (written.written_end - written.at), lane, hand })
                }
                EventKind::Click(_) | EventKind::Cue(_) | EventKind::Guide(_) | EventKind::Spoken { .. } => None,
            })
            .collect();
        let flips = gestures
            .iter()
            .map(|&Placed { at, cue, gesture }| FlipPlace {
                at,
                cue,
                mark: FlipMark::of(words, gesture),
                lanes: gesture.flips.iter().filter_map(|flip| lane_of(flip.string)).collect(),
                spoken: spoken(words, piece, cue, gesture),
            })
            .collect();
        let mut bar_lines: Vec<(Ticks, String)> = (chunk.first..=chunk.last)
            .zip(bars)
            .map(|(index, bar)| (bar.starts - start, piece.bar_number(index).to_owned()))
            .collect();
        let mut at = music;
        for bar in &chunk.seam {
            bar_lines.push((at, String::new()));
            at += bar.length;
        }
        bar_lines.push((at, String::new()));
        StripModel {
            length: looped.timeline.length,
            music,
            bars: bar_lines,
            clicks: clicks(&looped.timeline.events, Ticks::ZERO),
            count_in: clicks(&looped.timeline.count_in, -looped.timeline.count_in_length),
            lanes,
            plucks,
            flips,
        }
    }

    /// The music alone, without the reset bars that a loop would need at its end.
    pub fn without_seam(mut self) -> StripModel {
        let music = self.music;
        self.length = music;
        self.bars.retain(|(at, number)| *at < music || *at == music && number.is_empty());
        self.clicks.retain(|click| click.at < music);
        self.flips.retain(|flip| matches!(flip.cue, Cue::Planned(_)));
        for lane in &mut self.lanes {
            lane.levels.retain(|(at, _)| *at < music);
        }
        self
    }

    /// The flip that comes next, by its place in the list; the first one again after the last.
    pub fn next_flip(&self, at: Ticks) -> Option<usize> {
        let after = self.flips.iter().position(|flip| flip.at >= at);
        after.or(if self.flips.is_empty() { None } else { Some(0) })
    }

    /// Whether some flips come so soon after each other that their marks need a second row.
    pub fn has_close_flips(&self) -> bool {
        let after_each = self.flips.iter().skip(1).map(|flip| flip.at);
        let again = self.flips.first().map(|first| first.at + self.length);
        let close = Ticks::QUARTER * 2;
        self.flips.iter().zip(after_each.chain(again)).any(|(flip, next)| next - flip.at < close)
    }

    /// What there is, for the ear.
    pub fn summary(&self, words: Words) -> String {
        let bars = self.bars.iter().filter(|(_, number)| !number.is_empty()).count();
        let gaps = [("bars", bars.into()), ("flips", self.flips.len().into()), ("strings", self.lanes.len().into())];
        words.with("strip-spoken", gaps)
    }
}

fn spoken(words: Words, piece: &Piece, cue: Cue, gesture: &Gesture) -> String {
    let what = ("flip", names::gesture_spoken(words, gesture).into());
    let hand = ("hand", names::hand(words, gesture.hand).into());
    match cue {
        Cue::Planned(_) => {
            let place = names::place(words, piece, gesture.played_bar, gesture.at);
            words.with("strip-flip-spoken", [what, hand, ("place", place.into())])
        }
        Cue::Reset(_) => words.with("strip-reset-spoken", [what, hand]),
    }
}

/// The strings from the highest to the lowest that the loop plucks or flips, one more on either side.
fn lanes(words: Words, planned: &Planned, looped: &Loop, gestures: &[Placed<'_>]) -> Vec<Lane> {
    let plucked = looped.timeline.events.iter().filter_map(|event| match event.kind {
        EventKind::Pluck { pluck, .. } => planned.plan.strings.get(pluck).copied().flatten().map(|(string, _)| string),
        EventKind::Click(_) | EventKind::Cue(_) | EventKind::Guide(_) | EventKind::Spoken { .. } => None,
    });
    let flipped = gestures.iter().flat_map(|placed| placed.gesture.flips.iter().map(|flip| flip.string));
    let mut places: Vec<usize> = plucked.chain(flipped).map(StringNumber::index).collect();
    places.sort_unstable();
    let (Some(&top), Some(&bottom)) = (places.first(), places.last()) else { return Vec::new() };
    let (top, bottom) = (top.saturating_sub(1), bottom + 1);
    planned
        .harp
        .numbered()
        .filter(|(number, _)| (top..=bottom).contains(&number.index()))
        .map(|(number, string)| {
            let mut levels = vec![(Ticks::ZERO, looped.chunk.start.of(number))];
            for placed in gestures {
                for flip in placed.gesture.flips.iter().filter(|flip| flip.string == number) {
                    levels.push((placed.at, flip.to));
                }
            }
            Lane { string: number, name: words.string(string.open), letter: string.open.letter(), levels }
        })
        .collect()
}

fn clicks(events: &[leverlane_core::drill::Event], shift: Ticks) -> Vec<Click> {
    let mut count = 0;
    events
        .iter()
        .filter_map(|event| match event.kind {
            EventKind::Click(accent) => {
                match accent {
                    Accent::Bar => count = 1,
                    Accent::Beat => count += 1,
                    Accent::Division => {}
                }
                Some(Click { at: event.at + shift, accent, count })
            }
            EventKind::Cue(_) | EventKind::Guide(_) | EventKind::Spoken { .. } | EventKind::Pluck { .. } => None,
        })
        .collect()
}

#[cfg(test)]
mod tests;
