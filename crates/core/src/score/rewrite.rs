//! Small changes to the notes that a player makes for her harp: a note to the other hand, an octave away, or left out.

use super::{BarIndex, Hand, Performance, Pluck, Stroke};
use crate::pitch::SpelledPitch;
use crate::time::Ticks;

/// Names a note as it is written, in a way that survives re-planning; it stands for every time through its bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NoteName {
    /// The written bar.
    pub bar: BarIndex,
    /// Where in that bar it begins.
    pub at: Ticks,
    /// Its pitch as written, before any change.
    pub pitch: SpelledPitch,
}

/// One change to the notes. [`Performance::rewritten`] carries changes out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rewrite {
    /// Play the note with this hand.
    Hand {
        /// The note.
        note: NoteName,
        /// The hand that takes it.
        hand: Hand,
    },
    /// Play the note so many octaves higher (lower where negative).
    Octaves {
        /// The note.
        note: NoteName,
        /// Octaves up.
        up: i8,
    },
    /// Leave the note out.
    Drop {
        /// The note.
        note: NoteName,
    },
}

impl Rewrite {
    /// The note that is changed.
    pub fn note(&self) -> NoteName {
        match *self {
            Rewrite::Hand { note, .. } | Rewrite::Octaves { note, .. } | Rewrite::Drop { note } => note,
        }
    }

    /// Whether this change takes the place of another one: the same kind of change to the same note.
    pub fn replaces(&self, other: &Rewrite) -> bool {
        self.note() == other.note() && std::mem::discriminant(self) == std::mem::discriminant(other)
    }
}

/// A performance with its notes changed.
#[derive(Clone, Debug, PartialEq)]
pub struct Rewritten {
    /// The changed performance.
    pub performance: Performance,
    /// The changes that found nothing to change: the note is gone, or would leave the range of pitches.
    pub unmet: Vec<Rewrite>,
}

impl Performance {
    /// The name of a pluck's note; none for a pluck that this performance doesn't have.
    pub fn note_name(&self, pluck: usize) -> Option<NoteName> {
        let pluck = self.plucks().get(pluck)?;
        self.name_of(pluck)
    }

    fn name_of(&self, pluck: &Pluck) -> Option<NoteName> {
        let bar = self.bars().get(pluck.played_bar)?;
        Some(NoteName { bar: bar.bar, at: pluck.at - bar.starts, pitch: pluck.pitch })
    }

    /// The same performance with some notes changed, every time they are played. Changes name notes as they were before
    /// any change; of several of one kind to one note the last counts. The strings that a glissando crosses go with the
    /// note it begins on.
    pub fn rewritten(&self, rewrites: &[Rewrite]) -> Rewritten {
        let mut unmet: Vec<Rewrite> = rewrites.to_vec();
        let name_of = |pluck: &Pluck| match pluck.stroke {
            Stroke::Plucked => self.name_of(pluck),
            Stroke::Swept => {
                let begins = |other: &&Pluck| other.note == pluck.note && other.stroke == Stroke::Plucked;
                let before = self.plucks().partition_point(|other| other.at < pluck.at);
                self.plucks()[..before].iter().rfind(begins).and_then(|begins| self.name_of(begins))
            }
        };
        let mut plucks = Vec::with_capacity(self.plucks().len());
        for pluck in self.plucks() {
            let name = name_of(pluck);
            let mut changed = Some(pluck.clone());
            for rewrite in rewrites.iter().filter(|rewrite| Some(rewrite.note()) == name) {
                changed = match rewritten(pluck, changed, rewrite) {
                    Ok(changed) => {
                        unmet.retain(|other| other != rewrite);
                        changed
                    }
                    Err(unchanged) => unchanged,
                };
            }
            plucks.extend(changed);
        }
        Rewritten { performance: self.with_plucks(plucks), unmet }
    }
}

/// A pluck after one change more, none once it is dropped.
///
/// # Errors
/// The pluck as it was, where the change would take it out of the range of pitches.
fn rewritten(written: &Pluck, changed: Option<Pluck>, rewrite: &Rewrite) -> Result<Option<Pluck>, Option<Pluck>> {
    let Some(pluck) = changed else { return Ok(None) };
    match *rewrite {
        Rewrite::Hand { hand, .. } => Ok(Some(Pluck { hand, ..pluck })),
        Rewrite::Drop { .. } => Ok(None),
        Rewrite::Octaves { up, .. } => {
            let moved = |pitch: SpelledPitch| {
                let octave = pitch.octave().checked_add(up)?;
                SpelledPitch::new(pitch.letter(), pitch.alter(), octave).ok()
            };
            match (moved(written.pitch), moved(written.sounds)) {
                (Some(pitch), Some(sounds)) => Ok(Some(Pluck { pitch, sounds, ..pluck })),
                _ => Err(Some(pluck)),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::tests::small_pieces::{line, piece};
    use crate::score::Hand::{Left, Right};

    fn said(performance: &Performance) -> Vec<String> {
        performance.plucks().iter().map(|pluck| format!("{} {}", pluck.hand, pluck.pitch.ascii())).collect()
    }

    /// Worked by hand: the changes are what they say, and a note that isn't there is told.
    #[test]
    fn notes_are_moved_taken_and_dropped() {
        let performance = piece(0, &[line(Right, 1, "C5 E5"), line(Left, 1, "C3 G3")]);
        assert_eq!(said(&performance), ["left C3", "right C5", "left G3", "right E5"]);
        let name = |pluck: usize| performance.note_name(pluck).unwrap();
        let gone = NoteName { bar: BarIndex::new(7), ..name(0) };
        let rewrites = [
            Rewrite::Octaves { note: name(0), up: 1 },
            Rewrite::Hand { note: name(1), hand: Left },
            Rewrite::Drop { note: name(2) },
            Rewrite::Drop { note: gone },
        ];
        let rewritten = performance.rewritten(&rewrites);
        assert_eq!(said(&rewritten.performance), ["left C4", "left C5", "right E5"]);
        assert_eq!(rewritten.unmet, [Rewrite::Drop { note: gone }]);
        // 10 octaves above C3 there is no MIDI number (arithmetic: 48 + 120 > 127).
        let too_far = Rewrite::Octaves { note: name(0), up: 10 };
        assert_eq!(performance.rewritten(&[too_far]).unmet, [too_far]);
    }

    /// A change counts on every time through its bar.
    #[test]
    fn repeats_change_alike() {
        let twice = crate::plan::tests::small_pieces::played(0, &[line(Right, 1, "C5 E5")], 2);
        let note = twice.note_name(0).unwrap();
        assert_eq!(said(&twice.rewritten(&[Rewrite::Drop { note }]).performance), ["right E5", "right E5"]);
    }
}
