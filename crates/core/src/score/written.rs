//! The score as a whole.

use std::cmp::Ordering;

use super::{Bar, BarIndex, Markings, Note, NoteRef};

/// A pitched part as written.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its name, as printed.
    pub name: String,
    /// How many staves it is written on, 1 or more.
    pub staves: u8,
    /// The names of its voices.
    pub voices: Vec<String>,
    /// Its notes, by bar and onset; chords from the lowest note.
    pub notes: Vec<Note>,
}

/// The written music: bars, and the sounding notes of every pitched part.
#[derive(Clone, Debug, PartialEq)]
pub struct Score {
    title: String,
    bars: Vec<Bar>,
    parts: Vec<Part>,
    markings: Markings,
}

/// Bars and notes that don't fit together.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ScoreError {
    /// No bars.
    #[error("a score without bars: expected at least one")]
    Empty,
    /// A bar that lasts no time.
    #[error("the bar at index {0} has no length")]
    EmptyBar(usize),
    /// A note outside the bars, or of a negative place or length.
    #[error(
        "a note of part {part} stands at bar index {bar}, where the score has none, or at a negative place or length"
    )]
    MisplacedNote {
        /// The part, from 0.
        part: usize,
        /// The bar index that the note names.
        bar: usize,
    },
}

/// By bar and onset, graces before what they lead to, chords from the lowest note. (Most notes differ in the first two.)
fn in_order(one: &Note, other: &Note) -> Ordering {
    let place = |note: &Note| (note.bar, note.onset);
    let rest = |note: &Note| (note.kind.order(), note.pitch.midi(), note.staff, note.voice);
    place(one).cmp(&place(other)).then_with(|| rest(one).cmp(&rest(other)))
}

impl Score {
    /// A score; the notes of each part are put in order.
    ///
    /// # Errors
    /// No bars, a bar of no length, or notes outside the bars.
    pub fn new(title: impl Into<String>, bars: Vec<Bar>, mut parts: Vec<Part>) -> Result<Score, ScoreError> {
        if bars.is_empty() {
            return Err(ScoreError::Empty);
        }
        if let Some(index) = bars.iter().position(|bar| bar.length.get() <= 0) {
            return Err(ScoreError::EmptyBar(index));
        }
        for (index, part) in parts.iter_mut().enumerate() {
            let misplaced =
                |note: &&Note| note.bar.get() >= bars.len() || note.onset.get() < 0 || note.length.get() < 0;
            if let Some(note) = part.notes.iter().find(misplaced) {
                return Err(ScoreError::MisplacedNote { part: index, bar: note.bar.get() });
            }
            part.notes.sort_by(in_order);
        }
        Ok(Score { title: title.into(), bars, parts, markings: Markings::default() })
    }

    /// The same score with what is written beside its notes; marks in bars or parts that it doesn't have are left out.
    pub fn with_markings(mut self, mut markings: Markings) -> Score {
        let (bars, parts) = (self.bars.len(), self.parts.len());
        markings.levers.retain(|mark| mark.bar.get() < bars && mark.part < parts);
        markings.levers.sort_by_key(|mark| (mark.bar, mark.at, mark.part));
        let within = |bracket: &super::PlacingBracket| bracket.begins.0.get().max(bracket.ends.0.get()) < bars;
        markings.brackets.retain(|bracket| within(bracket) && bracket.part < parts);
        markings.brackets.sort_by_key(|bracket| (bracket.begins, bracket.part, bracket.staff));
        markings.holds.retain(|hold| hold.bar.get() < bars);
        markings.holds.sort_by_key(|hold| (hold.bar, hold.at));
        markings.holds.dedup();
        markings.cues.retain(|cue| cue.note.bar.get() < bars && cue.part < parts);
        markings.cues.sort_by_key(|cue| (cue.part, cue.note.bar, cue.note.onset, cue.note.pitch.midi()));
        self.markings = markings;
        self
    }

    /// What is written beside the notes.
    pub fn markings(&self) -> &Markings {
        &self.markings
    }

    /// The title, or empty.
    pub fn title(&self) -> &str {
        &self.title
    }

    /// The bars in written order; at least one.
    pub fn bars(&self) -> &[Bar] {
        &self.bars
    }

    /// One bar, if the score has it.
    pub fn bar(&self, index: BarIndex) -> Option<&Bar> {
        self.bars.get(index.get())
    }

    /// The first bar of a printed number, looked for from some bar on; spaces about the number don't matter.
    pub fn bar_numbered(&self, number: &str, from: BarIndex) -> Option<BarIndex> {
        let wanted = number.trim();
        (from.get()..self.bars.len()).find(|&index| self.bars[index].number.trim() == wanted).map(BarIndex::new)
    }

    /// The pitched parts in written order; there may be none.
    pub fn parts(&self) -> &[Part] {
        &self.parts
    }

    /// Every note with its reference, part by part.
    pub fn notes(&self) -> impl Iterator<Item = (NoteRef, &Note)> {
        self.parts.iter().enumerate().flat_map(|(part, written)| {
            written.notes.iter().enumerate().map(move |(note, value)| (NoteRef { part, note }, value))
        })
    }
}
