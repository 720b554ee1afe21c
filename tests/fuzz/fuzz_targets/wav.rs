//! `leverlane_fuzz::wav` on any bytes.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| leverlane_fuzz::wav(bytes));
