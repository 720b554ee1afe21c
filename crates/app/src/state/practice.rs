//! A flip's practice on its ladder: what is counted, marked and told.

use std::sync::Arc;

use leverlane_core::drill::{PassResult, Practice};
use leverlane_core::time::Seconds;
use leverlane_core::verdict::{OwnWord, Verdict};
use leverlane_formats::documents::Lesson;

/// The practice of the selected flip.
#[derive(Clone, Debug, PartialEq)]
pub struct PracticeDesk {
    /// Ladder, layer, chunk and cues.
    pub practice: Practice,
    /// The passes on this rung, oldest first.
    pub marks: Vec<PassResult>,
    /// The latest verdict.
    pub verdict: Option<Verdict>,
    /// Her taps in the pass that sounds, from its start.
    pub taps: Vec<Seconds>,
    /// What she has said of the pass that sounds.
    pub word: Option<OwnWord>,
    /// The rung that was left last, for a moment to say so.
    pub turn: Option<Turn>,
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
        PracticeDesk { practice, marks: Vec::new(), verdict: None, taps: Vec::new(), word: None, turn: None }
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
