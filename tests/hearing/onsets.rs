//! Onsets of single lines, against the moments at which they were put into the recording.

use std::collections::BTreeSet;

use leverlane_hearing::{Heard, Listener, SampleRate};
use leverlane_tests::harp_recordings::room::in_a_room;
use leverlane_tests::harp_recordings::{Bank, Kind, Passage, RATE};

/// The moments at which notes were heard.
fn heard(sound: &[f32]) -> Vec<f64> {
    let rate = SampleRate::new(RATE).unwrap();
    let mut listener = Listener::new(rate, &[]);
    let mut times = Vec::new();
    let mut tell = |heard: Heard| {
        if let Heard::Note(note) = heard {
            times.push(rate.time_of(note.at).get());
        }
    };
    listener.listen(sound, &mut tell);
    listener.finish(&mut tell);
    times
}

/// How many of the true moments something was heard near.
fn found(truth: &[f64], heard: &[f64], within: f64) -> usize {
    truth.iter().filter(|&&at| heard.iter().any(|heard| (heard - at).abs() <= within)).count()
}

/// Truth: the samples at which the plucks were added. The bounds are the target for lines in a room, 0.975 within 50 ms
/// (mir_eval's window), and for dry lines the same share within 5 ms: in so small a sample two notes more or less decide.
#[test]
fn the_onsets_of_lines_are_found() {
    let passages: Vec<Passage> = (0..6).map(|seed| Passage::new(Kind::Line, seed)).collect();
    let kinds: BTreeSet<_> = passages.iter().flat_map(Passage::kinds).collect();
    let bank = match Bank::render(&kinds) {
        Ok(bank) => bank,
        Err(reason) => return eprintln!("skipped: {reason}"),
    };
    let (mut all, mut exact, mut in_room) = (0, 0, 0);
    for (seed, passage) in passages.iter().enumerate() {
        let (dry, truth) = (passage.sound(&bank), passage.onsets());
        all += truth.len();
        exact += found(&truth, &heard(&dry), 0.005);
        in_room += found(&truth, &heard(&in_a_room(&dry, seed as u64)), 0.05);
    }
    assert!(exact as f64 >= 0.975 * all as f64, "{exact} of {all} dry onsets");
    assert!(in_room as f64 >= 0.975 * all as f64, "{in_room} of {all} onsets in a room");
}
