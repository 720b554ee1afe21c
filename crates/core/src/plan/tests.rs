//! The planner against worked cases and against exhaustive search.

mod decisions;
mod exhaustive;
mod found_cases;
mod looking;
mod marks;
mod properties;
pub(crate) mod small_pieces;
mod ways_out;
mod worked_cases;
