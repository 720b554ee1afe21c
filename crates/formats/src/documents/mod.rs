//! Our own files: harps, pieces, lessons and what students send back, as RON text that a player can read and edit.
//!
//! Every document begins with what it is and in which version (`document: harp, version: 1`). Core types don't appear
//! in a file: each version has its own structures here, converted to and from the core, so that the core can change
//! and old files still read. A document of a newer version than this program knows is refused, not guessed at; nothing
//! here ever writes over the file it read.
//!
//! Unknown fields, wrong types, numbers that are no numbers or far out of range are refused with one line that names
//! line and column, or the field.

mod error;
mod harp;
mod lesson;
mod musical;
mod piece;
mod results;
mod sound;
mod source;
mod text;

pub use error::DocumentError;
pub use harp::HarpDocument;
pub use lesson::{Lesson, LessonChunk};
pub use piece::{DrillSettings, Music, OpenError, Piece};
pub use results::{DayResult, FlipResult, Results};
pub use source::{Sha256, Source};
pub use text::is_document;

/// The largest document that is read, in bytes: room for a score of the largest size that is taken, kept inside.
pub const MOST_BYTES: usize = 256 << 20;
