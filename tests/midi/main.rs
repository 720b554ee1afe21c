//! MIDI in and out against outside readings: music21 writes pieces of its corpus to MIDI, and its notes, its own reading
//! and mido's are what ours must equal.
//!
//! Needs a Python with music21 and mido (`LEVERLANE_PYTHON`, else `python3`). Without one these checks are skipped and
//! say so. `LEVERLANE_CORPUS=all` takes all fifty pieces instead of a few; `LEVERLANE_MIDI_REFERENCES=FOLDER` keeps what
//! Python wrote there and uses it again.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::print_stdout)]

mod hostile;
mod outside;
mod pieces;
mod readings;
mod round_trip;
