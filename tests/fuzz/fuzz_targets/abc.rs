//! Any bytes as a file of ABC, and as a passage typed for both hands: no panic, no hang, no endless memory.
#![no_main]

use leverlane_formats::Limits;
use leverlane_formats::abc::{PassageSettings, Tunebook, passage};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let limits = Limits::USUAL;
    if let Ok(book) = Tunebook::open(bytes, &limits) {
        for tune in 0..book.tunes().len() {
            let _ = book.read(tune);
        }
    }
    if let Ok(text) = std::str::from_utf8(bytes) {
        let (right, left) = text.split_once('\u{0}').unwrap_or((text, ""));
        let _ = passage(right, left, &PassageSettings::default(), &limits);
    }
});
