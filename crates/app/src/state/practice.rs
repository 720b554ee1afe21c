//! A flip's practice on its ladder: what is counted, marked and told.

use std::sync::Arc;

use leverlane_core::drill::{PassResult, Practice};
use leverlane_core::time::{Seconds, Tempo};
use leverlane_core::verdict::{Basis, ExpectedPass, FlipOutcome, NoteOutcome, OwnWord, Verdict};
use leverlane_formats::documents::Lesson;

use super::HeardPass;
use crate::effects::PlayedPass;

/// The practice of the selected flip.
#[derive(Clone, Debug, PartialEq)]
pub struct PracticeDesk {
    /// Ladder, layer, chunk and cues.
    pub practice: Practice,
    /// The passes on this rung, oldest first.
    pub marks: Vec<PassResult>,
    /// The rung that was left last, for a moment to say so.
    pub turn: Option<Turn>,
    /// What begins when the pass that sounds is over: what led to it was heard only in the middle of that pass.
    pub at_seam: Option<Follows>,
}

/// What follows on a pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Follows {
    /// The rung that the ladder stands on by now.
    Rung,
    /// Another flip, whose turn it is.
    OtherFlip,
}

/// The passes of a loop, on a ladder or not: what is told and heard of them, and what became of the latest.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PassDesk {
    /// The latest verdict.
    pub verdict: Option<Verdict>,
    /// What became of the notes in it, by their plucks; none where nobody listened.
    pub heard_notes: Vec<(usize, NoteOutcome)>,
    /// Whether the microphone heard the pass that it is on.
    pub listened: Listened,
    /// What was heard of a pass that has not ended yet: its music has, its seam hasn't.
    pub heard: Option<HeardPass>,
    /// The pass that has ended and is still being listened to.
    pub over: Option<Box<PassOver>>,
    /// Her taps in the pass that sounds, from its start.
    pub taps: Vec<Seconds>,
    /// What she has said of the pass that sounds.
    pub word: Option<OwnWord>,
}

/// Whether a pass was heard.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Listened {
    /// Nobody listened.
    #[default]
    Not,
    /// All of it was heard.
    Whole,
    /// Something is missing: what was not heard may have been played.
    Broken,
}

/// A pass that has ended, with all that is needed to judge it.
#[derive(Clone, Debug, PartialEq)]
pub struct PassOver {
    /// Which start of the drill it belongs to.
    pub take: u64,
    /// Which pass of it.
    pub pass: u64,
    /// What it asked of her.
    pub expected: ExpectedPass,
    /// Her taps, from its start; none where she didn't tap.
    pub taps: Option<Vec<Seconds>>,
    /// What she said of it.
    pub word: Option<OwnWord>,
    /// Its tempo.
    pub tempo: Tempo,
    /// What goes into the diary, but for the verdict.
    pub played: Option<Box<PlayedPass>>,
}

/// What the latest pass has led to, where it led anywhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turn {
    /// A rung up.
    Up,
    /// A rung down.
    Down,
}

impl PracticeDesk {
    /// Nothing played yet.
    pub fn new(practice: Practice) -> PracticeDesk {
        PracticeDesk { practice, marks: Vec::new(), turn: None, at_seam: None }
    }
}

impl PassDesk {
    /// What became of the practised flip in the latest pass: as it was heard, where it was; else as the pass was tapped or
    /// said to be.
    pub fn flip_result(&self) -> Option<PassResult> {
        let verdict = self.verdict.as_ref()?;
        match verdict.basis {
            Basis::Heard if verdict.flips.iter().all(|flip| flip.outcome == FlipOutcome::Clean) => {
                Some(PassResult::Clean)
            }
            Basis::Heard if verdict.flips.iter().any(|flip| flip.outcome == FlipOutcome::Unheard) => {
                Some(PassResult::Unheard)
            }
            Basis::Heard => Some(PassResult::Missed),
            Basis::Tapped | Basis::OwnWord => Some(PassResult::from(verdict.steady)),
            Basis::Nothing => None,
        }
    }

    /// Forgets what belongs to the pass that was sounding.
    pub fn begin_pass(&mut self) {
        self.taps.clear();
        self.word = None;
    }
}

/// A lesson in progress.
#[derive(Clone, Debug, PartialEq)]
pub struct LessonDesk {
    /// The lesson.
    pub lesson: Arc<Lesson>,
    /// Which of its chunks is practised.
    pub chunk: usize,
}

/// A moment as the clock on the wall tells it. It comes from outside, so that tests move it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Moment {
    /// Seconds since 1 January 1970, UTC.
    pub at: i64,
    /// The player's own day, counted from 1 January 1970.
    pub day: i32,
}
