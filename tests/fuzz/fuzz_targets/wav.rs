//! `leverlane_fuzz::wav` on any bytes.
#![no_main]

mod watched;

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| watched::watched(leverlane_fuzz::wav, bytes));
