//! The diary under hard conditions: killed in the middle of writing, and on a disk that may not be written.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod killed;
mod unwritable;
