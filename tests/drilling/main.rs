//! Drills as they are played: a simulated student goes through the same interface as a person's notes, taps and levers.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod figures;
mod ladders;
mod passes;
mod piece;
mod random;
mod student;
