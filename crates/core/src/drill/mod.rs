//! The drill: a few bars around a flip, looped, with its click, cues and notes in exact time.
//!
//! [`Chunk`] says which bars and which levers, and what is counted at the seam between two passes; [`Timeline`] says
//! what sounds when in one pass through it.
//!
//! ```text
//! Performance ─┐
//! Plan ────────┼→ Chunk ─→ Timeline
//! tempo, pace ─┘    └ seam: bars counted for the resets
//! ```

mod chunk;
mod clicks;
mod seam;
mod timeline;

pub use chunk::{Chunk, ChunkError, ChunkRequest, ChunkSize};
pub use clicks::{Accent, Division};
pub use seam::SeamBar;
pub use timeline::{Cue, Event, EventKind, GRACE_STEP, ROLL_STEP, Timeline, TimelineOptions};

#[cfg(test)]
mod tests;
