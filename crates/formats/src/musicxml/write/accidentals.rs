//! Which accidentals are printed: those that the key and the bar so far don't say (common practice: an accidental holds
//! for its own line or space up to the bar line).

use std::collections::{BTreeMap, HashMap};

use leverlane_core::pitch::{Key, SpelledPitch};
use leverlane_core::score::{Note, NoteRef, Tie};

/// What stands before the notes of one staff in one bar; a note that isn't in it has nothing before it.
pub(super) fn printed<'a>(
    notes: impl IntoIterator<Item = (NoteRef, &'a Note)>,
    key: Key,
) -> HashMap<NoteRef, &'static str> {
    let mut in_time: Vec<(NoteRef, &Note)> = notes.into_iter().collect();
    in_time.sort_by_key(|(_, note)| (note.onset, note.kind.order(), note.pitch));
    let mut standing: BTreeMap<i16, i8> = BTreeMap::new();
    let mut found = HashMap::new();
    for (reference, note) in in_time {
        let pitch = note.pitch;
        let place = pitch.staff_steps();
        let now = standing.get(&place).copied().unwrap_or_else(|| key.alter(pitch.letter()));
        // A tied note goes on sounding; what it was altered by needs no second sign, and holds no further.
        if matches!(note.tie, Tie::Continue | Tie::Stop) && !standing.contains_key(&place) {
            continue;
        }
        if pitch.alter() != now {
            found.insert(reference, name(pitch));
            standing.insert(place, pitch.alter());
        }
    }
    found
}

/// The accidental's name in MusicXML 4.0 (`accidental-value`).
fn name(pitch: SpelledPitch) -> &'static str {
    match pitch.alter() {
        ..=-3 => "triple-flat",
        -2 => "flat-flat",
        -1 => "flat",
        0 => "natural",
        1 => "sharp",
        2 => "double-sharp",
        3.. => "triple-sharp",
    }
}
