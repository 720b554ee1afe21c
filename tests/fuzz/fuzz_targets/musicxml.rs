//! `leverlane_fuzz::musicxml` on any bytes.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| leverlane_fuzz::musicxml(bytes));
