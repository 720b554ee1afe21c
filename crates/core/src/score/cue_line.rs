//! What another player sounds while the harp plays: small notes to find one's place by, shown and heard as a guide.

use super::{Note, Score};

/// The notes of the cue line, by bar and onset: the cue notes printed in the harp's own parts, and where one is wanted
/// another part, such as the singer's. Parts are named by their place in the score; notes that the harp plays are no cue.
pub fn cue_line(score: &Score, harp: &[usize], part: Option<usize>) -> Vec<Note> {
    let printed = score.markings().cues.iter().filter(|cue| harp.contains(&cue.part)).map(|cue| &cue.note);
    let other = part.filter(|part| !harp.contains(part)).and_then(|part| score.parts().get(part));
    let mut notes: Vec<Note> = printed.chain(other.into_iter().flat_map(|part| &part.notes)).cloned().collect();
    notes.sort_by_key(|note| (note.bar, note.onset, note.kind.order(), note.pitch.midi()));
    notes
}
