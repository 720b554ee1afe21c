//! Tests that cross crates.

pub mod diary_passes;
pub mod harp_recordings;
pub mod large_score;
pub mod read_and_plan;
