//! The drill's sound from the outside: the samples of a file read back, and the signal that a real device gets.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod device;
mod exact_samples;
mod onsets;
mod piece;
