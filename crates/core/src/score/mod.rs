//! The written music, which hand plays it, and the order in which it is played.
//!
//! A [`Score`] holds bars and the notes of every pitched part as they are written. [`Hands`] says which notes the harp
//! plays and with which hand; [`PlayingOrder`] unrolls repeats and jumps; a [`Performance`] puts both together into the
//! plucks of one time through the piece. [`Rewrite`] is a player's small change to it.

mod bar;
mod cue_line;
mod hands;
mod marking;
mod note;
mod performance;
mod playing_order;
mod rewrite;
mod written;

pub use bar::{Bar, BarIndex, Ending, Jump, JumpTarget, Navigation, RepeatEnd, TempoMark, ToCoda};
pub use cue_line::cue_line;
pub use hands::{BarHands, Hand, HandRule, HandWay, Hands};
pub use marking::{CueNote, Hold, LeverMark, Markings, PlacingBracket};
pub use note::{Finger, Note, NoteKind, NoteRef, Roll, Tie, VoiceIndex};
pub use performance::{GRACE_STEP, GuideNote, OffBeat, Performance, PlayedBar, Pluck, Stroke};
pub use playing_order::{OrderError, PlayingOrder};
pub use rewrite::{NoteName, Rewrite, Rewritten};
pub use written::{Part, Score, ScoreError};
