//! The notes of one staff in one bar as voices: chords one after another that never overlap.

use std::collections::BTreeMap;

use leverlane_core::score::{Note, NoteKind, NoteRef, VoiceIndex};
use leverlane_core::time::Ticks;

/// Notes that begin together and last equally long.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Chord<'a> {
    /// From the start of the bar.
    pub(super) onset: Ticks,
    /// Nothing for graces.
    pub(super) length: Ticks,
    /// Graces come in this order before the chord they lead to.
    pub(super) kind: NoteKind,
    /// From the lowest.
    pub(super) notes: Vec<(NoteRef, &'a Note)>,
}

impl Chord<'_> {
    fn end(&self) -> Ticks {
        self.onset + self.length
    }
}

/// Puts the notes of a staff into as few voices as keep the score's own voices apart where they sound together.
///
/// Within one of the score's voices notes that overlap go to voices of their own. Voices that never meet in this bar are
/// one.
pub(super) fn voices<'a>(notes: impl IntoIterator<Item = (NoteRef, &'a Note)>) -> Vec<Vec<Chord<'a>>> {
    type Moment = (Ticks, u8, Ticks);
    let mut by_voice: BTreeMap<(usize, VoiceIndex), BTreeMap<Moment, Chord<'a>>> = BTreeMap::new();
    for (reference, note) in notes {
        let moments = by_voice.entry((reference.part, note.voice)).or_default();
        let chord = moments.entry((note.onset, note.kind.order(), note.length)).or_insert_with(|| Chord {
            onset: note.onset,
            length: note.length,
            kind: note.kind,
            notes: Vec::new(),
        });
        chord.notes.push((reference, note));
    }
    let mut voices: Vec<Vec<Chord<'a>>> = Vec::new();
    for moments in by_voice.into_values() {
        let mut lanes: Vec<Vec<Chord<'a>>> = Vec::new();
        for mut chord in moments.into_values() {
            chord.notes.sort_by_key(|(_, note)| note.pitch);
            let free = |lane: &Vec<Chord<'_>>| lane.last().is_none_or(|last| last.end() <= chord.onset);
            match lanes.iter().position(free) {
                Some(lane) => lanes[lane].push(chord),
                None => lanes.push(vec![chord]),
            }
        }
        for lane in lanes {
            join(&mut voices, lane);
        }
    }
    voices
}

/// Adds a lane to the first voice that it never meets, else as a voice of its own.
fn join<'a>(voices: &mut Vec<Vec<Chord<'a>>>, lane: Vec<Chord<'a>>) {
    let meets = |one: &Chord<'_>, other: &Chord<'_>| {
        let overlap = one.onset < other.end() && other.onset < one.end();
        overlap || one.onset == other.onset
    };
    let apart = |voice: &Vec<Chord<'_>>| !voice.iter().any(|chord| lane.iter().any(|other| meets(chord, other)));
    match voices.iter().position(apart) {
        Some(place) => {
            voices[place].extend(lane);
            voices[place].sort_by_key(|chord| (chord.onset, chord.kind.order()));
        }
        None => voices.push(lane),
    }
}
