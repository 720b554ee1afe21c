//! The written music, which hand plays it, and the order in which it is played.
//!
//! A [`Score`] holds bars and the notes of every pitched part as they are written. [`Hands`] says which notes the harp
//! plays and with which hand; [`PlayingOrder`] unrolls repeats and jumps; a [`Performance`] puts both together into the
//! plucks of one time through the piece.

mod bar;
mod hands;
mod note;
mod performance;
mod playing_order;
mod written;

pub use bar::{Bar, BarIndex, Ending, Jump, JumpTarget, Navigation, RepeatEnd, TempoMark, ToCoda};
pub use hands::{Hand, HandRule, Hands};
pub use note::{Note, NoteKind, NoteRef, Roll, Tie, VoiceIndex};
pub use performance::{Performance, PlayedBar, Pluck};
pub use playing_order::{OrderError, PlayingOrder};
pub use written::{Part, Score, ScoreError};
