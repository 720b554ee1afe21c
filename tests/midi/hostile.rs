//! Damaged and hostile files: one clear line each, never a panic.
//!
//! The bytes follow the Standard MIDI File 1.0 text: `MThd`, length 6, format, tracks, division; then `MTrk` chunks.

use leverlane_core::score::Tie;
use leverlane_formats::{ImportError, Imported, Limits, import};

const END: [u8; 4] = [0, 0xFF, 0x2F, 0];

fn header(format: u16, tracks: u16, division: u16) -> Vec<u8> {
    let numbers = [format, tracks, division].map(u16::to_be_bytes).concat();
    [b"MThd\0\0\0\x06".to_vec(), numbers].concat()
}

fn track(events: &[u8]) -> Vec<u8> {
    let length = u32::try_from(events.len()).unwrap().to_be_bytes();
    [b"MTrk".as_slice(), &length, events].concat()
}

fn file(format: u16, division: u16, events: &[u8]) -> Vec<u8> {
    [header(format, 1, division), track(&[events, &END].concat())].concat()
}

/// A quarter of middle C at 96 ticks to the quarter.
const ONE_NOTE: [u8; 8] = [0, 0x90, 60, 80, 96, 0x80, 60, 0];

fn refused(bytes: &[u8]) -> String {
    let line = import(bytes, &Limits::USUAL).unwrap_err().to_string();
    assert!(!line.contains('\n') && line.contains("expected") && line.contains(';'), "one line with a remedy: {line}");
    line
}

fn read(bytes: &[u8]) -> Imported {
    import(bytes, &Limits::USUAL).unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn what_can_not_be_read_is_refused_by_name() {
    let refusals = [
        (file(1, 0, &ONE_NOTE), "a division of 0"),
        (file(1, 0xE728, &ONE_NOTE), "SMPTE"),
        // Found by fuzzing: the crate that takes events apart overflows on this one.
        (file(1, 0x8000, &ONE_NOTE), "SMPTE"),
        (file(2, 96, &ONE_NOTE), "format 2"),
        (file(3, 96, &ONE_NOTE), "format 3"),
        (file(1, 96, &[]), "without pitched notes"),
        (file(1, 96, &[0, 0x99, 36, 80, 96, 0x89, 36, 0]), "without pitched notes"),
        (b"MThd".to_vec(), "header"),
        (header(1, 1, 96), "0 tracks of 1"),
        ([header(1, 2, 96), track(&[&ONE_NOTE[..], &END].concat())].concat(), "1 tracks of 2"),
        ([header(1, 1, 96), b"MTrk\xFF\xFF\xFF\xFF".to_vec(), ONE_NOTE.to_vec()].concat(), "4294967295 bytes"),
        (file(1, 96, &[0, 0x90, 60, 80, 96, 0xF4, 0]), "an event that can't be read"),
        (file(1, 96, &[0, 60, 80]), "an event that can't be read"),
    ];
    for (bytes, found) in refusals {
        let line = refused(&bytes);
        assert!(line.contains(found), "{line}\ndoes not say {found}");
    }
}

/// Every beginning of a good file is refused, or read with a warning that it may have been cut off.
#[test]
fn a_file_that_breaks_off_anywhere_is_told() {
    let whole = [header(1, 2, 96), track(&[&ONE_NOTE[..], &END].concat()), track(&[&ONE_NOTE[..], &END].concat())];
    let whole = whole.concat();
    assert!(import(&whole, &Limits::USUAL).is_ok());
    for length in 4..whole.len() {
        refused(&whole[..length]);
    }
    let endless = [header(1, 1, 96), track(&ONE_NOTE)].concat();
    let warnings = read(&endless).warnings;
    assert!(warnings.iter().any(|warning| warning.reason.contains("no end mark")), "{warnings:?}");
}

#[test]
fn what_asks_for_too_much_is_refused() {
    let far = [0xFF, 0xFF, 0xFF, 0x7F, 0x90, 60, 80, 0xFF, 0xFF, 0xFF, 0x7F, 0x80, 60, 0];
    let line = refused(&file(1, 1, &far));
    assert!(line.contains("bars"), "{line}");
    let many: Vec<u8> = [0, 0x90, 60, 80].into_iter().chain([1, 60, 80].repeat(1_000_000)).collect();
    let line = refused(&file(1, 96, &many));
    assert!(line.contains("more than 1000000 notes"), "{line}");
    // A hundred keys held for 6,963,200 ticks, 18,133 bars, would be 1.8 million tied notes.
    let begin = (0..100).flat_map(|key| [0, 0x90, key, 80]);
    let wait = [0x83, 0xA9, 0x80, 0, 0xFF, 1, 0];
    let end = (0..100).flat_map(|key| [0, 0x80, key, 0]);
    let long: Vec<u8> = begin.chain(wait).chain(end).collect();
    let line = refused(&file(1, 96, &long));
    assert!(line.contains("tied over the bar lines"), "{line}");
    let limits = Limits { notes: 3, ..Limits::USUAL };
    let four = file(1, 96, &ONE_NOTE.repeat(4));
    assert!(matches!(import(&four, &limits), Err(ImportError::LimitReached(_))));
}

/// Nonsense in events that only steer the reading is told and passed over.
#[test]
fn nonsense_events_are_told() {
    let meter = [0, 0xFF, 0x58, 4, 0, 2, 24, 8];
    let tempo = [0, 0xFF, 0x51, 3, 0, 0, 0];
    let key = [0, 0xFF, 0x59, 2, 9, 0];
    let unended = [0, 0x90, 62, 80];
    let events = [&meter[..], &tempo, &key, &unended, &ONE_NOTE].concat();
    let imported = read(&file(0, 96, &events));
    let said: Vec<_> = imported.warnings.iter().map(ToString::to_string).collect();
    for word in ["a meter of", "a tempo of inf", "more than seven accidentals", "never ended"] {
        assert!(said.iter().any(|line| line.contains(word)), "{word}: {said:?}");
    }
    assert_eq!(imported.score.bars()[0].meter.to_string(), "4/4");
}

/// Middle C from the third quarter of one bar of 4/4 to the third of the next: two notes, tied (common practice).
#[test]
fn a_note_over_a_bar_line_is_tied() {
    let imported = read(&file(0, 96, &[0x81, 0x40, 0x90, 60, 80, 0x83, 0x00, 0x90, 60, 0]));
    let found: Vec<_> = imported.score.parts()[0]
        .notes
        .iter()
        .map(|note| (note.bar.get(), note.onset.to_string(), note.length.to_string(), note.tie))
        .collect();
    let (two, zero) = ("2/1".to_owned(), "0/1".to_owned());
    assert_eq!(found, [(0, two.clone(), two.clone(), Tie::Start), (1, zero, two, Tie::Stop)]);
}

/// A thousand files with some bytes changed, by a fixed sequence: each is read or refused in one line.
#[test]
fn changed_bytes_never_panic() {
    let good = [&[0, 0xFF, 0x58, 4, 3, 2, 24, 8, 0, 0xFF, 0x51, 3, 7, 0xA1, 0x20][..], &ONE_NOTE.repeat(20)].concat();
    let good = file(1, 96, &good);
    // A linear congruential sequence (Knuth, MMIX).
    let mut state = 1u64;
    let mut next = |below: usize| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % below
    };
    let (mut read, mut refused) = (0, 0);
    for _ in 0..1000 {
        let mut bytes = good.clone();
        for _ in 0..1 + next(4) {
            let place = next(bytes.len());
            bytes[place] = u8::try_from(next(256)).unwrap();
        }
        match import(&bytes, &Limits { bars: 2000, ..Limits::USUAL }) {
            Ok(imported) => read += usize::from(!imported.score.bars().is_empty()),
            Err(error) => refused += usize::from(!error.to_string().contains('\n')),
        }
    }
    assert_eq!(read + refused, 1000);
    assert!(read > 100 && refused > 100, "{read} read, {refused} refused");
}
