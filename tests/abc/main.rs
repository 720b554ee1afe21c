//! ABC tunes read and compared.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, missing_docs)]

mod known_differences;
mod reference;
