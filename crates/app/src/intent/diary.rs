//! What can be asked about the diary.

use leverlane_formats::Said;
use std::path::PathBuf;
use std::sync::Arc;

use leverlane_diary::FlipId;

use super::Intent;
use crate::state::DiaryPicture;

/// One thing asked about the diary.
#[derive(Clone, Debug)]
pub enum DiaryIntent {
    /// Show this flip's days.
    Choose(FlipId),
    /// Write everything into a file.
    Export,
    /// Delete everything; asked twice it is done.
    Delete,
    /// A student types her name.
    Name(String),
    /// Write her results into a file for her teacher.
    WriteResults,
    /// Rather not.
    KeepAll,
    /// The diary has been read.
    Seen(Arc<DiaryPicture>),
    /// Everything stands in this file now.
    Exported(PathBuf),
    /// Something is wrong with it, in one line.
    Trouble(Said),
}

impl From<DiaryIntent> for Intent {
    fn from(intent: DiaryIntent) -> Intent {
        Intent::Diary(intent)
    }
}
