//! Any bytes as a MIDI file, and what was read written out and read again: no panic, no hang, no endless memory.
#![no_main]

use leverlane_core::score::{HandRule, Hands};
use leverlane_formats::{Limits, MidiSource, read_midi, write_midi};
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(imported) = read_midi(bytes, &Limits::USUAL) else { return };
    let hands = Hands::assign(&imported.score, &HandRule::Usual);
    let (score, order) = (&imported.score, &imported.order);
    if let Ok(file) = write_midi(&MidiSource { score, order, hands: &hands, plan: None, tempo: None }) {
        let _ = read_midi(&file.bytes, &Limits::USUAL);
    }
});
