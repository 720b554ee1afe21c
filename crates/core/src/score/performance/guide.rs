//! The cue line in the course of playing.

use super::{Performance, PlayedBar};
use crate::pitch::MidiNote;
use crate::score::{Note, NoteKind, Tie};
use crate::time::ScoreTime;

/// A note that another player sounds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct GuideNote {
    /// When it begins.
    pub at: ScoreTime,
    /// When its written length ends, ties included.
    pub ends: ScoreTime,
    /// What is heard.
    pub note: MidiNote,
}

impl Performance {
    /// The same piece with a cue line, given by bar and onset (see [`cue_line`](crate::score::cue_line())). Graces are left
    /// out: a guide shows where the beat is.
    pub fn guided_by(self, line: &[Note]) -> Performance {
        let mut guide: Vec<GuideNote> = Vec::new();
        for played in &self.bars {
            let from = line.partition_point(|note| note.bar < played.bar);
            let to = line.partition_point(|note| note.bar <= played.bar);
            for note in line[from..to].iter().filter(|note| note.kind == NoteKind::Timed) {
                sound(&mut guide, played, note);
            }
        }
        guide.sort_by_key(|note| (note.at, note.note));
        Performance { guide, ..self }
    }

    /// What others sound, by time; empty where there is no cue line.
    pub fn guide(&self) -> &[GuideNote] {
        &self.guide
    }
}

/// Begins a note, or goes on with the one that it is tied to.
fn sound(guide: &mut Vec<GuideNote>, played: &PlayedBar, written: &Note) {
    let (at, note) = (played.starts + written.onset, written.sounding().midi());
    let ends = at + written.length;
    if matches!(written.tie, Tie::Continue | Tie::Stop)
        && let Some(tied) = guide.iter_mut().rev().find(|before| before.note == note && before.ends == at)
    {
        tied.ends = ends;
        return;
    }
    guide.push(GuideNote { at, ends, note });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::tests::small_pieces::{note, performed};
    use crate::score::Hand;
    use crate::time::Ticks;

    fn quarters(pitch: &str, at: i64, length: i64) -> Note {
        note((Hand::Right, Ticks::QUARTER * at, Ticks::QUARTER * length, pitch.parse().unwrap()))
    }

    /// Counting: two bars of 4/4, played twice; the cue's whole note is tied to the first quarter of the second bar.
    #[test]
    fn a_cue_line_is_played_in_order_and_its_ties_are_joined() {
        let played = performed(0, vec![quarters("C4", 0, 4), quarters("C4", 4, 4)], 2);
        let begun = Note { tie: Tie::Start, ..quarters("G4", 0, 4) };
        let line = [begun, Note { tie: Tie::Stop, ..quarters("G4", 4, 1) }, quarters("A4", 6, 1)];
        let guided = played.clone().guided_by(&line);
        let since_start = |at: ScoreTime| at.since_start().quarters();
        let told: Vec<_> =
            guided.guide().iter().map(|n| (since_start(n.at), since_start(n.ends), n.note.get())).collect();
        assert_eq!(told, [(0.0, 5.0, 67), (6.0, 7.0, 69), (8.0, 13.0, 67), (14.0, 15.0, 69)]);
        assert_eq!((guided.plucks(), played.guide().len()), (played.plucks(), 0));
    }
}
