//! The drill: a few bars around a flip, looped, with its click, cues and notes in exact time.
//!
//! [`Chunk`] says which bars and which levers, and what is counted at the seam between two passes; [`Timeline`] says
//! what sounds when in one pass through it. [`Practice`] moves on by what became of each pass: the tempo [`Ladder`], the
//! [`Layer`] that is played, how much music is around the flip, and the cues that fade ([`Cueing`]). [`Session`] takes
//! several flips in turns and asks for pauses; [`due`] says what is asked again on which day.
//!
//! ```text
//! Performance ─┐
//! Plan ────────┼→ Chunk ─→ Timeline
//! tempo, pace ─┘    └ seam: bars counted for the resets
//!
//! PassResult ─→ Practice ─→ tempo, layer, size, cues of the next pass
//! ```

mod chunk;
mod clicks;
mod fading;
mod ladder;
mod layers;
mod practice;
mod retention;
mod seam;
mod session;
mod speech;
mod timeline;

pub use chunk::{Chunk, ChunkError, ChunkRequest, ChunkSize};
pub use clicks::{Accent, Division};
pub use fading::{CLEAN_TO_FADE, CueLevel, Cueing, Fading};
pub use ladder::{
    Ladder, LadderError, LadderPlan, MISSES_TO_STEP_BACK, Move, PassResult, RungStep, STEPS_BACK_TO_STOP, Scheme,
};
pub use layers::{Layer, PlayedHands};
pub use practice::{Offer, Practice};
pub use retention::{Day, DayOfPractice, FIRST_PASSES, GAPS, GoalHeld, Standing, due, is_kept, standing};
pub use seam::SeamBar;
pub use session::{Ask, Session, SessionPlan};
pub use speech::{LETTER_AHEAD, MOST_COUNTED, Speech, Word};
pub use timeline::{Cue, Event, EventKind, ROLL_STEP, Timeline, TimelineOptions};

#[cfg(test)]
mod tests;
