//! Which heard note is which expected one.
//!
//! Chords are taken in their order, and heard notes in theirs, by dynamic programming: each chord takes a few successive
//! heard notes, in any order among themselves; expected notes may be missing and heard ones may be too many. What remains
//! on both sides is then joined where pitch and time agree, since two hands may overlap.

use super::evidence::HeardNote;
use super::expected::{ExpectedNote, ExpectedPass};
use crate::pitch::{Cents, MidiNote};
use crate::time::Seconds;

/// Pitches within half a semitone are the same note (mir_eval's tolerance for pitch).
const SAME_NOTE: f64 = 50.0;
/// What an expected note costs that nothing matches, and a heard one likewise. A pair costs its distance in time as a
/// share of [`reach`], so any pair in reach is better than two loose ends.
const LOOSE_END: f64 = 1.0;
/// What it costs to take a note for a string whose lever stands wrong, so that a right note comes first.
const WRONG_LEVER: f64 = 0.4;
/// So many notes beyond the chord's own may fall between its first and its last.
const FOREIGN_NOTES: usize = 3;

/// A pair.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Match {
    /// The place in the heard notes.
    pub(super) heard: usize,
    /// How late it came.
    pub(super) error: Seconds,
    /// Whether its string sounded as it should.
    pub(super) sounding: Sounding,
}

/// Whether a matched string sounded as it should.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sounding {
    Right,
    OtherState,
}

/// For each expected note what matches it. `habit` is how late the player is on the whole; it is left in the errors.
pub(super) fn match_notes(expected: &ExpectedPass, heard: &[HeardNote], habit: Seconds) -> Vec<Option<Match>> {
    let chords = chords(&expected.notes);
    let aligning = Aligning { expected, heard, habit, reach: reach(expected.beat), chords };
    let mut matched = aligning.best();
    aligning.join_loose_ends(&mut matched);
    matched
}

/// How far off its time a note may come and still be the one that is meant: a beat, within reason.
fn reach(beat: Seconds) -> f64 {
    beat.get().clamp(0.25, 1.5)
}

/// The expected notes in chords: by place, in the order of their first notes.
fn chords(notes: &[ExpectedNote]) -> Vec<Vec<usize>> {
    let mut chords: Vec<(usize, Vec<usize>)> = Vec::new();
    for (index, note) in notes.iter().enumerate() {
        // A chord's notes stand close together, so that looking back a little finds it.
        match chords.iter_mut().rev().take(8).find(|(chord, _)| *chord == note.chord) {
            Some((_, members)) => members.push(index),
            None => chords.push((note.chord, vec![index])),
        }
    }
    chords.into_iter().map(|(_, members)| members).collect()
}

struct Aligning<'a> {
    expected: &'a ExpectedPass,
    heard: &'a [HeardNote],
    habit: Seconds,
    reach: f64,
    chords: Vec<Vec<usize>>,
}

/// How the best way to a cell came there.
#[derive(Clone, Copy)]
enum Step {
    /// The chord is missing.
    Missing,
    /// The heard note is foreign.
    Foreign,
    /// The chord takes so many heard notes.
    Takes(u8),
}

impl Aligning<'_> {
    fn best(&self) -> Vec<Option<Match>> {
        let width = self.heard.len() + 1;
        // One row of costs is enough; the steps are kept whole for the way back.
        let mut costs: Vec<f64> = (0..width).map(|heard| heard as f64 * LOOSE_END).collect();
        let mut steps = vec![Step::Foreign; width];
        for chord in &self.chords {
            let mut row = vec![costs[0] + chord.len() as f64 * LOOSE_END; width];
            let mut row_steps = vec![Step::Missing; width];
            for heard in 1..width {
                let missing = (costs[heard] + chord.len() as f64 * LOOSE_END, Step::Missing);
                let foreign = (row[heard - 1] + LOOSE_END, Step::Foreign);
                let mut best = if foreign.0 < missing.0 { foreign } else { missing };
                for count in 1..=heard.min(chord.len() + FOREIGN_NOTES) {
                    if !self.in_reach(chord, heard - 1) || !self.in_reach(chord, heard - count) {
                        break;
                    }
                    let cost = costs[heard - count] + self.cost(chord, heard - count..heard);
                    if cost < best.0 {
                        best = (cost, Step::Takes(u8::try_from(count).unwrap_or(u8::MAX)));
                    }
                }
                (row[heard], row_steps[heard]) = best;
            }
            costs = row;
            steps.extend(row_steps);
        }
        self.way_back(&steps, width)
    }

    fn way_back(&self, steps: &[Step], width: usize) -> Vec<Option<Match>> {
        let mut matched = vec![None; self.expected.notes.len()];
        let (mut row, mut heard) = (self.chords.len(), self.heard.len());
        while row > 0 {
            match steps[row * width + heard] {
                Step::Missing => row -= 1,
                Step::Foreign => heard -= 1,
                Step::Takes(count) => {
                    let from = heard - usize::from(count);
                    for (note, pair) in self.pairs(&self.chords[row - 1], from..heard) {
                        matched[note] = Some(pair);
                    }
                    (row, heard) = (row - 1, from);
                }
            }
        }
        matched
    }

    fn in_reach(&self, chord: &[usize], heard: usize) -> bool {
        chord.iter().any(|&note| self.distance(note, heard) < self.reach)
    }

    /// How far apart in time, the player's habit taken off.
    fn distance(&self, note: usize, heard: usize) -> f64 {
        (self.heard[heard].at - self.habit - self.expected.notes[note].at).get().abs()
    }

    fn cost(&self, chord: &[usize], heard: std::ops::Range<usize>) -> f64 {
        let pairs = self.pairs(chord, heard.clone());
        let loose = chord.len() + heard.len() - 2 * pairs.len();
        let paired: f64 = pairs.iter().map(|(note, pair)| self.cost_of(*note, pair)).sum();
        loose as f64 * LOOSE_END + paired
    }

    fn cost_of(&self, note: usize, pair: &Match) -> f64 {
        let wrong = match pair.sounding {
            Sounding::Right => 0.0,
            Sounding::OtherState => WRONG_LEVER,
        };
        self.distance(note, pair.heard) / self.reach + wrong
    }

    /// The chord's notes among the heard ones: first those that sound as they should, then those of a wrong lever.
    fn pairs(&self, chord: &[usize], heard: std::ops::Range<usize>) -> Vec<(usize, Match)> {
        let mut pairs: Vec<(usize, Match)> = Vec::with_capacity(chord.len());
        for sounding in [Sounding::Right, Sounding::OtherState] {
            for &note in chord {
                if pairs.iter().any(|&(taken, _)| taken == note) {
                    continue;
                }
                let free = heard.clone().filter(|&at| pairs.iter().all(|(_, pair)| pair.heard != at));
                let fitting = free.filter(|&at| self.sounding(note, at) == Some(sounding));
                let nearest = fitting.min_by(|&a, &b| self.distance(note, a).total_cmp(&self.distance(note, b)));
                if let Some(nearest) = nearest.filter(|&at| self.distance(note, at) < self.reach) {
                    pairs.push((note, self.pair(note, nearest, sounding)));
                }
            }
        }
        pairs
    }

    fn pair(&self, note: usize, heard: usize, sounding: Sounding) -> Match {
        Match { heard, error: self.heard[heard].at - self.expected.notes[note].at, sounding }
    }

    /// How a heard note would fit an expected one. Between the two states of its lever the nearer one counts.
    fn sounding(&self, note: usize, heard: usize) -> Option<Sounding> {
        let (note, pitch) = (&self.expected.notes[note], self.heard[heard].pitch());
        let off = |midi: MidiNote| (pitch.get() - f64::from(midi.get()) * Cents::SEMITONE.get()).abs();
        if off(note.note) <= SAME_NOTE {
            return Some(Sounding::Right);
        }
        note.other_state.filter(|&other| off(other) <= SAME_NOTE).map(|_| Sounding::OtherState)
    }

    /// Joins what the order of chords has left loose, nearest first: one hand may run into the other's chord.
    fn join_loose_ends(&self, matched: &mut [Option<Match>]) {
        let mut taken = vec![false; self.heard.len()];
        for pair in matched.iter().flatten() {
            taken[pair.heard] = true;
        }
        let mut candidates = Vec::new();
        for note in (0..matched.len()).filter(|&note| matched[note].is_none()) {
            for heard in (0..taken.len()).filter(|&heard| !taken[heard]) {
                let distance = self.distance(note, heard);
                if distance < self.reach
                    && let Some(sounding) = self.sounding(note, heard)
                {
                    candidates.push((distance, note, self.pair(note, heard, sounding)));
                }
            }
        }
        candidates.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (_, note, pair) in candidates {
            if matched[note].is_none() && !taken[pair.heard] {
                matched[note] = Some(pair);
                taken[pair.heard] = true;
            }
        }
    }
}
