//! The planner against worked cases and against exhaustive search.

mod exhaustive;
mod found_cases;
mod small_pieces;
mod worked_cases;
