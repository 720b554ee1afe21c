//! Tests that cross crates.

pub mod harp_recordings;
pub mod large_score;
pub mod read_and_plan;
