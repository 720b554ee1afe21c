//! Scores in: against another reader, against hand-derived expectations, and against files that must be refused.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod beside;
mod conformance;
mod golden;
mod jumps;
mod known_differences;
mod marked;
mod musicxml;
mod reference;
mod refused;
mod scores;
mod seeds;
mod written;
