//! Pieces from paper, and ABC tunes: of our own, bent out of shape, and those of the music21 corpus.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout, missing_docs)]

mod bent;
mod golden;
mod known_differences;
mod paper;
mod reference;
