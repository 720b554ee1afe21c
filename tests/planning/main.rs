//! The planner against an outside solver.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test fails by panicking"
)]

mod cuts;
mod solver;
