//! Tests that cross crates.

pub mod large_score;
pub mod read_and_plan;
