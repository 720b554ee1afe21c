//! The planner against worked cases and against exhaustive search.

mod decisions;
pub(crate) mod exhaustive;
mod found_cases;
mod looking;
mod marks;
mod off_beat;
mod proofs;
mod properties;
mod repeats;
pub(crate) mod small_pieces;
mod swept;
mod top_tempo;
mod ways_out;
mod worked_cases;
