//! `leverlane_fuzz::midi` on any bytes.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| leverlane_fuzz::midi(bytes));
