//! All that the window knows: the piece, the player's wishes, the plan made of both, and the drill.

mod drill;
mod notice;
mod piece;
mod transport;
mod wishes;

pub use drill::{Drill, Loop, Placed};
pub use notice::{Notice, NoticeKind};
pub use piece::{Origin, Piece, Planned};
pub use transport::{PassPlace, Transport};
pub use wishes::{HarpChoice, Level, Mix, Voice, Wishes};

use std::sync::Arc;

/// Everything the views draw. Only [`crate::apply::apply`] changes it.
#[derive(Clone, Debug, Default)]
pub struct State {
    /// The open piece.
    pub piece: Option<Arc<Piece>>,
    /// What the player has chosen.
    pub wishes: Wishes,
    /// The plan of the open piece; none until the first one is there.
    pub plan: Option<Arc<Planned>>,
    /// What is being drilled.
    pub drill: Drill,
    /// What is under way on other threads.
    pub work: Work,
    /// Something to tell the player.
    pub notice: Option<Notice>,
    /// Why there is no sound, if there is none.
    pub silent_because: Option<String>,
    /// The reason that the player has read and put away; it is not told again.
    pub heeded_silence: Option<String>,
    /// Whether the help page is open.
    pub help: HelpPage,
    /// Counts every change of piece, plan or loop, so that views know when to derive their models anew.
    pub revision: u64,
}

/// Whether the help page covers the window.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum HelpPage {
    /// Out of the way.
    #[default]
    Closed,
    /// In front.
    Open,
}

/// What other threads are working on. Each job has a number; an answer to an older job is dropped.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Work {
    /// The newest opening job, while it runs.
    pub opening: Option<u64>,
    /// The newest planning job, while it runs.
    pub planning: Option<u64>,
    /// Whether a file dialog is up.
    pub asking: bool,
    last: u64,
}

impl Work {
    /// A number that no job has had.
    pub fn next_job(&mut self) -> u64 {
        self.last += 1;
        self.last
    }
}
