//! The drill: a few bars around a flip, looped, with its click, cues and notes in exact time.
//!
//! [`Chunk`] says which bars and which levers; [`Timeline`] says what sounds when in one pass through it.

mod chunk;
mod timeline;

pub use chunk::{Chunk, ChunkSize};
pub use timeline::{Accent, Cue, Event, EventKind, Timeline, TimelineOptions};
