//! The planner against an outside solver.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test fails by panicking")]

mod cuts;
mod solver;
