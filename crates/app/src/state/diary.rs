//! What the Diary place shows.

use std::path::PathBuf;
use std::sync::Arc;

use leverlane_core::drill::Day;
use leverlane_diary::{DayTotal, DueFlip, FlipDay, FlipId, PieceFlip, StudentFlip};

/// The Diary place.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DiaryDesk {
    /// What was read last; none until it has been.
    pub picture: Option<Arc<DiaryPicture>>,
    /// The flip whose days are shown.
    pub chosen: Option<FlipId>,
    /// What a student has typed as her name, for the results that go to her teacher.
    pub student: String,
    /// Whether the player has asked once to delete everything.
    pub deleting: Deleting,
}

/// Deleting takes two steps.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Deleting {
    /// Not asked.
    #[default]
    No,
    /// Asked; the next step does it.
    Asked,
}

/// What the diary holds, as far as it is shown.
#[derive(Clone, Debug, PartialEq)]
pub struct DiaryPicture {
    /// The day it was looked at.
    pub today: Day,
    /// Every flip, by piece.
    pub flips: Vec<PieceFlip>,
    /// What is due.
    pub due: Vec<DueFlip>,
    /// The last seven days, today last.
    pub week: Vec<DayTotal>,
    /// The flip whose days are shown.
    pub chosen: Option<FlipId>,
    /// Its days.
    pub days: Vec<FlipDay>,
    /// What students have sent, beside each other.
    pub students: Vec<StudentFlip>,
    /// Its file.
    pub path: PathBuf,
    /// How large that is, in bytes.
    pub size: u64,
}
