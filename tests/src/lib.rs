//! Tests that cross crates.
