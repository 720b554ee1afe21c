//! Tests of applying.
