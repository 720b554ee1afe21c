//! The diary: every pass that was practised, on disk, and what its charts show.
//!
//! ```text
//! PassRecord ─→ Journal ─→ Diary (SQLite) ─→ charts: FlipDay, PieceFlip, DueFlip, DayTotal
//!                 └ keeps what can't be written yet
//! ```
//!
//! One file holds it all; nothing ever leaves the machine unless the player exports it. Each pass is one transaction,
//! which also moves the sums that the charts are drawn from, so that no chart has to read single passes, however many
//! there are. Days and times come from outside: the diary has no clock.

mod charts;
mod error;
mod export;
mod journal;
mod records;
mod schema;
mod store;
mod students;
mod write;

pub use charts::{DayTotal, DueFlip, FlipDay, HeldFlip, PieceFlip};
pub use error::{DiaryError, Trouble};
pub use journal::Journal;
pub use records::{FlipEntry, FlipId, FlipName, PassRecord, PieceId, PieceName, SessionId};
pub use store::Diary;
pub use students::{StudentDay, StudentFlip};

#[cfg(test)]
mod tests;
