//! Hearing, on sound that isn't ours: a small sample of what is measured in full elsewhere.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stderr)]

mod onsets;
mod passes;
