//! How evenly the notes came.

use super::answer::{Hesitation, NoteOutcome, NoteVerdict};
use super::evidence::{Ear, Evidence};
use super::expected::{ExpectedFlip, ExpectedPass, Freedom};
use super::matching::{Match, Sounding};
use super::statistics::{median, spread};
use crate::time::Seconds;

/// Notes so far before a flip tell how the time was held before it; in beats.
const BEFORE: f64 = 2.0;
/// Notes within so much of the first one after the flip tell how it was held after it; in beats. The nearest tell most:
/// a player who has waited catches up again.
const AFTER: f64 = 1.0;
/// Below this a sound may be no note of the player's at all (a working value of ours).
pub(super) const CERTAIN_ENOUGH: f64 = 0.5;
/// A thousandth of a second is given away, so that a note written on the flip beat counts as after it.
const SAME_INSTANT: f64 = 1e-3;

/// The time errors of the notes whose time is judged, with the notes' own times.
fn errors<'a>(expected: &'a ExpectedPass, matched: &'a [Option<Match>]) -> impl Iterator<Item = (f64, f64)> + 'a {
    let strict = expected.notes.iter().zip(matched).filter(|(note, _)| note.freedom == Freedom::Strict);
    strict.filter_map(|(note, pair)| pair.map(|pair| (note.at.get(), pair.error.get())))
}

fn only_errors(expected: &ExpectedPass, matched: &[Option<Match>]) -> Vec<f64> {
    errors(expected, matched).map(|(_, error)| error).collect()
}

pub(super) fn bias(expected: &ExpectedPass, matched: &[Option<Match>]) -> Option<Seconds> {
    median(&only_errors(expected, matched)).map(Seconds::new)
}

pub(super) fn spread_of(expected: &ExpectedPass, matched: &[Option<Match>]) -> Option<Seconds> {
    spread(&only_errors(expected, matched)).map(Seconds::new)
}

/// The medians of the errors after and before the flip, the one less the other.
pub(super) fn hesitation(
    flip: &ExpectedFlip,
    expected: &ExpectedPass,
    matched: &[Option<Match>],
) -> Option<Hesitation> {
    let (at, beat) = (flip.at.get() - SAME_INSTANT, flip.beat.get());
    let first_after = errors(expected, matched).map(|(time, _)| time).filter(|&time| time >= at).reduce(f64::min)?;
    let last_before = errors(expected, matched).map(|(time, _)| time).filter(|&time| time < at).reduce(f64::max)?;
    let between = |from: f64, to: f64| {
        let inside = errors(expected, matched).filter(|&(time, _)| (from..to).contains(&time));
        median(&inside.map(|(_, error)| error).collect::<Vec<_>>())
    };
    // However long the rest before the flip was, the last notes before it are there.
    let before = between((at - BEFORE * beat).min(last_before), at)?;
    let after = between(first_after, first_after + AFTER * beat - SAME_INSTANT)?;
    Some(Hesitation { longer_by: Seconds::new(after - before), of_beat: (after - before) / beat })
}

/// What became of each note; none where nobody listened.
pub(super) fn notes(expected: &ExpectedPass, evidence: &Evidence, matched: &[Option<Match>]) -> Vec<NoteVerdict> {
    if evidence.ear == Ear::Closed {
        return Vec::new();
    }
    let outcome = |note: usize| match matched[note] {
        Some(Match { sounding: Sounding::Right, .. }) => NoteOutcome::Hit,
        Some(Match { sounding: Sounding::OtherState, .. }) => NoteOutcome::WrongLever,
        None if evidence.ear == Ear::Microphone && chord_heard(note, expected, matched) => NoteOutcome::NotHeard,
        None => NoteOutcome::Missed,
    };
    (0..matched.len())
        .map(|note| NoteVerdict {
            outcome: outcome(note),
            heard: matched[note].map(|pair| pair.heard),
            error: matched[note].map(|pair| pair.error),
        })
        .collect()
}

/// Whether other strings of the note's chord were heard.
fn chord_heard(note: usize, expected: &ExpectedPass, matched: &[Option<Match>]) -> bool {
    let chord = expected.notes[note].chord;
    expected.notes.iter().zip(matched).any(|(other, pair)| other.chord == chord && pair.is_some())
}

/// The heard notes beyond what was expected, uncertain ones left out.
pub(super) fn extra(evidence: &Evidence, matched: &[Option<Match>]) -> Vec<usize> {
    let mut taken = vec![false; evidence.heard.len()];
    for pair in matched.iter().flatten() {
        taken[pair.heard] = true;
    }
    let certain = |heard: &usize| evidence.heard[*heard].certainty >= CERTAIN_ENOUGH;
    (0..taken.len()).filter(|&heard| !taken[heard]).filter(certain).collect()
}
