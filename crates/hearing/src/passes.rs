//! Where in a recording the passes of a drill begin.
//!
//! The notes of a pass are laid over what was heard, beginning at every moment at which they could; where they fit best a
//! pass begins. A pass may be played with mistakes, its strings may stand in their other lever state, and the passes need
//! not follow each other in an exact time.

use leverlane_core::time::Seconds;
use leverlane_core::verdict::{ExpectedNote, ExpectedPass, HeardNote};

/// How far a note may lie from its time to count fully; further away it counts less.
const NEAR: f64 = 0.06;
/// What a note counts at most that was heard at its time, but at another pitch.
const OTHER_PITCH: f64 = 0.25;
/// The share of its notes that makes a pass.
const LEAST: f64 = 0.4;
/// Two passes begin at least so much of a pass apart.
const APART: f64 = 0.6;
/// Beginnings are tried so far apart.
const STEP: f64 = 0.02;

/// When each pass begins, in order. `heard` is by time, counted from the start of the recording, and so are the
/// answers; a pass may begin before it. `pass_lasts` is the whole of a pass, the bars at its seam included.
pub fn find_passes(expected: &ExpectedPass, pass_lasts: Seconds, heard: &[HeardNote]) -> Vec<Seconds> {
    let notes = &expected.notes;
    let mut tried: Vec<i64> = Vec::new();
    for heard in heard {
        let fitting = notes.iter().filter(|note| fits(note, heard));
        tried.extend(fitting.map(|note| ((heard.at - note.at).get() / STEP).round() as i64));
    }
    tried.sort_unstable();
    tried.dedup();
    let mut fits: Vec<(f64, f64)> = tried
        .into_iter()
        .map(|step| step as f64 * STEP)
        .map(|starts| (fit(notes, heard, starts), starts))
        .filter(|(fit, _)| *fit >= LEAST)
        .collect();
    // The best first; of equally good ones the earliest.
    fits.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.total_cmp(&b.1)));
    let mut passes: Vec<f64> = Vec::new();
    for (_, starts) in fits {
        if passes.iter().all(|other| (other - starts).abs() >= APART * pass_lasts.get()) {
            passes.push(starts);
        }
    }
    passes.sort_by(f64::total_cmp);
    passes.into_iter().map(|starts| settled(notes, heard, starts)).collect()
}

fn fits(note: &ExpectedNote, heard: &HeardNote) -> bool {
    let off = |midi: u8| (heard.pitch().get() - f64::from(midi) * 100.0).abs() <= 50.0;
    off(note.note.get()) || note.other_state.is_some_and(|other| off(other.get()))
}

/// The share of the notes that were heard at their times, were the pass to begin here.
fn fit(notes: &[ExpectedNote], heard: &[HeardNote], starts: f64) -> f64 {
    let worth = |note: &ExpectedNote| {
        let at = starts + note.at.get();
        let near = around(heard, at).iter().map(|heard| {
            let distance = (heard.at.get() - at) / NEAR;
            let pitch = if fits(note, heard) { 1.0 } else { OTHER_PITCH };
            pitch * (-0.5 * distance * distance).exp()
        });
        near.fold(0.0, f64::max)
    };
    notes.iter().map(worth).sum::<f64>() / notes.len().max(1) as f64
}

/// What was heard within three widths of a moment.
fn around(heard: &[HeardNote], at: f64) -> &[HeardNote] {
    let from = heard.partition_point(|heard| heard.at.get() < at - 3.0 * NEAR);
    let to = heard.partition_point(|heard| heard.at.get() <= at + 3.0 * NEAR);
    &heard[from..to]
}

/// The beginning moved by the median distance of its notes.
fn settled(notes: &[ExpectedNote], heard: &[HeardNote], starts: f64) -> Seconds {
    let mut distances: Vec<f64> = notes
        .iter()
        .filter_map(|note| {
            let at = starts + note.at.get();
            let fitting = around(heard, at).iter().filter(|heard| fits(note, heard));
            fitting.map(|heard| heard.at.get() - at).min_by(|a, b| a.abs().total_cmp(&b.abs()))
        })
        .collect();
    distances.sort_by(f64::total_cmp);
    Seconds::new(starts + distances.get(distances.len() / 2).copied().unwrap_or(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use leverlane_core::pitch::{Cents, MidiNote};
    use leverlane_core::score::Hand;
    use leverlane_core::time::Ticks;
    use leverlane_core::verdict::Freedom;

    /// Three passes of four notes, the second with a wrong note and begun 0.3 s late, a note of no pass before them.
    /// Truth: the times that are written here.
    #[test]
    fn passes_are_found_wherever_they_begin() {
        let note = |at: f64, midi: u8| ExpectedNote {
            at: Seconds::new(at),
            note: MidiNote::new(midi).unwrap(),
            other_state: None,
            string: None,
            hand: Hand::Right,
            freedom: Freedom::Strict,
            chord: 0,
            pluck: 0,
            played_bar: 0,
            onset: Ticks::ZERO,
        };
        let notes = vec![note(0.0, 60), note(0.5, 64), note(1.0, 65), note(1.5, 67)];
        let expected = ExpectedPass { notes, flips: Vec::new(), beat: Seconds::new(0.5) };
        let heard = |at: f64, midi: u8| HeardNote {
            at: Seconds::new(at),
            note: MidiNote::new(midi).unwrap(),
            cents: Cents::new(4.0),
            certainty: 0.8,
        };
        let mut all = vec![heard(0.2, 64)];
        for (starts, second) in [(1.0, 64), (3.3, 63), (5.0, 64)] {
            let pass = [(0.01, 60), (0.51, second), (0.99, 65), (1.52, 67)];
            all.extend(pass.map(|(at, midi)| heard(starts + at, midi)));
        }
        let found = find_passes(&expected, Seconds::new(2.0), &all);
        assert_eq!(found.len(), 3, "{found:?}");
        for (found, truth) in found.iter().zip([1.0, 3.3, 5.0]) {
            assert!((found.get() - truth).abs() <= 0.02, "{found:?} for {truth}");
        }
    }
}
