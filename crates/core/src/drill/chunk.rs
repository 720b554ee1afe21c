//! The bars around a flip.

use std::ops::{Range, RangeInclusive};

use super::seam::{self, SeamBar};
use crate::harp::{Harp, Setting};
use crate::plan::{Gesture, HandPace, Plan};
use crate::score::Performance;
use crate::time::{ScoreTime, Tempo, TempoError, TempoMap, Ticks};

/// How much music a chunk takes around its flip.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ChunkSize {
    /// The bar of the flip, and on to the first pluck of the flipped string.
    FlipBar,
    /// A bar more on either side.
    #[default]
    BarEachSide,
    /// Two bars more on either side.
    TwoBarsEachSide,
    /// These bars, by their places in playing order from 0; they reach to the flip where they don't hold it.
    Bars {
        /// The first.
        first: u32,
        /// The last, included.
        last: u32,
    },
    /// Everything.
    WholePiece,
}

/// What a chunk is cut from.
#[derive(Clone, Copy, Debug)]
pub struct ChunkRequest<'a> {
    /// The piece as it is played.
    pub performance: &'a Performance,
    /// Its plan, made for this performance on this harp.
    pub plan: &'a Plan,
    /// The player's harp.
    pub harp: &'a Harp,
    /// How fast her hands are; the resets at the seam need their time too.
    pub pace: &'a HandPace,
    /// The tempo at which the chunk opens. The written changes of tempo inside it keep their proportion to it.
    pub tempo: Tempo,
}

/// Some bars of a performance to be looped, with the lever setting they begin with and the reset at their seam.
#[derive(Clone, Debug, PartialEq)]
pub struct Chunk {
    /// The first bar, by its place in the performance.
    pub first: usize,
    /// The last bar, likewise, included.
    pub last: usize,
    /// When the first bar begins.
    pub starts: ScoreTime,
    /// When the last bar is over; the seam begins here.
    pub ends: ScoreTime,
    /// Where the levers stand at the first bar line, flips of that very instant not yet made.
    pub start: Setting,
    /// The plan's gestures inside the chunk, by their place in the plan; one on the closing bar line is outside.
    pub gestures: Range<usize>,
    /// The left-hand gestures that bring the levers back at the seam, in order of time. Their times and windows count
    /// from the bar line that closes the chunk, so a window may begin before zero; `played_bar` is the chunk's last.
    pub resets: Vec<Gesture>,
    /// The bars counted at the seam, without notes; none where the levers end as they start and the count goes on by
    /// itself. See [`SeamBar`].
    pub seam: Vec<SeamBar>,
    /// The tempo, counted from the chunk's start; what holds at its end holds through the seam.
    pub tempo: TempoMap,
}

/// A chunk that can't be cut.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum ChunkError {
    /// The plan has no such gesture.
    #[error("gesture {found} of the plan: expected 0 to {}, as the plan has {gestures}", gestures.saturating_sub(1))]
    NoSuchGesture {
        /// What was asked for.
        found: usize,
        /// How many the plan has.
        gestures: usize,
    },
    /// The performance has no such bars.
    #[error("bars {first} to {last} in playing order: expected bars in order among the {bars} that are played")]
    NoSuchBars {
        /// The first that was asked for, from 0.
        first: usize,
        /// The last that was asked for.
        last: usize,
        /// How many are played.
        bars: usize,
    },
    /// A written change of tempo inside the chunk would leave the range that can be played.
    #[error("{0}, where the piece changes its tempo inside the chunk: choose another tempo")]
    Tempo(#[from] TempoError),
}

impl Chunk {
    /// The chunk around a gesture of the plan, by its place there. It is extended forward to the first pluck of every
    /// flipped string in its new state: otherwise nothing would tell whether the flip was made.
    ///
    /// # Errors
    /// No such gesture, or a tempo that takes a later part of the chunk out of range.
    pub fn around(request: &ChunkRequest<'_>, gesture: usize, size: ChunkSize) -> Result<Chunk, ChunkError> {
        let (performance, gestures) = (request.performance, &request.plan.gestures);
        let centre =
            gestures.get(gesture).ok_or(ChunkError::NoSuchGesture { found: gesture, gestures: gestures.len() })?;
        let flip_bar = performance.bar_at(centre.at);
        let (first, last) = match size {
            ChunkSize::FlipBar => (flip_bar, flip_bar),
            ChunkSize::BarEachSide => (flip_bar.saturating_sub(1), flip_bar + 1),
            ChunkSize::TwoBarsEachSide => (flip_bar.saturating_sub(2), flip_bar + 2),
            ChunkSize::Bars { first, last } => (flip_bar.min(first as usize), flip_bar.max(last as usize)),
            ChunkSize::WholePiece => return Chunk::whole(request),
        };
        let heard = centre.flips.iter().map(|flip| performance.bar_at(flip.window.before)).fold(flip_bar, usize::max);
        let last = last.max(heard).min(performance.bars().len().saturating_sub(1));
        Chunk::of_bars(request, first..=last)
    }

    /// The whole piece, as it is played once.
    ///
    /// # Errors
    /// A tempo that takes a later part of the piece out of range.
    pub fn whole(request: &ChunkRequest<'_>) -> Result<Chunk, ChunkError> {
        Chunk::of_bars(request, 0..=request.performance.bars().len().saturating_sub(1))
    }

    /// These bars, by their places in the performance.
    ///
    /// # Errors
    /// Bars that the performance doesn't have, or a tempo that takes a later part of the chunk out of range.
    pub fn of_bars(request: &ChunkRequest<'_>, bars: RangeInclusive<usize>) -> Result<Chunk, ChunkError> {
        let (performance, plan) = (request.performance, request.plan);
        let (first, last) = (*bars.start(), *bars.end());
        let played = performance.bars();
        let (Some(first_bar), Some(last_bar), true) = (played.get(first), played.get(last), first <= last) else {
            return Err(ChunkError::NoSuchBars { first, last, bars: played.len() });
        };
        let (starts, ends) = (first_bar.starts, last_bar.ends());
        let from = plan.gestures.partition_point(|gesture| gesture.at < starts);
        let to = plan.gestures.partition_point(|gesture| gesture.at < ends);
        let mut chunk = Chunk {
            first,
            last,
            starts,
            ends,
            start: setting_after(&plan.start, &plan.gestures[..from]),
            gestures: from..to,
            resets: Vec::new(),
            seam: Vec::new(),
            tempo: performance.tempo().of_passage(starts, ends).opening_at(request.tempo)?,
        };
        (chunk.seam, chunk.resets) = seam::seam_of(&chunk, request);
        Ok(chunk)
    }

    /// Where the levers stand at the closing bar line, before any reset.
    pub fn end_setting(&self, plan: &Plan) -> Setting {
        setting_after(&self.start, plan.gestures.get(self.gestures.clone()).unwrap_or_default())
    }

    /// Whether an instant lies in the chunk's music; its closing bar line doesn't.
    pub fn contains(&self, at: ScoreTime) -> bool {
        at >= self.starts && at < self.ends
    }

    /// How long the music is, without the seam.
    pub fn music_length(&self) -> Ticks {
        self.ends - self.starts
    }

    /// How long the seam is.
    pub fn seam_length(&self) -> Ticks {
        self.seam.iter().map(|bar| bar.length).sum()
    }

    /// How long one pass is, seam included.
    pub fn pass_length(&self) -> Ticks {
        self.music_length() + self.seam_length()
    }
}

fn setting_after(start: &Setting, gestures: &[Gesture]) -> Setting {
    let mut setting = start.clone();
    for flip in gestures.iter().flat_map(|gesture| &gesture.flips) {
        setting.set(flip.string, flip.to);
    }
    setting
}
