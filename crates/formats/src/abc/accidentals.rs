//! How far accidentals reach.

use leverlane_core::pitch::Letter;

/// How far an accidental reaches (`%%propagate-accidentals`, ABC 2.1 §11.3).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Propagation {
    /// Its own note only.
    Not,
    /// Notes of its letter and octave to the bar line.
    Octave,
    /// Notes of its letter in all octaves to the bar line: the standard's default.
    #[default]
    Pitch,
}

/// An accidental that was written in the bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Accidental {
    pub(super) letter: Letter,
    pub(super) octave: i32,
    pub(super) alter: i8,
}

/// A bar's accidentals, the latest last, one for each letter and octave.
#[derive(Clone, Debug, Default)]
pub(super) struct Accidentals(Vec<Accidental>);

impl Accidentals {
    pub(super) fn write(&mut self, accidental: Accidental) {
        self.0.retain(|known| (known.letter, known.octave) != (accidental.letter, accidental.octave));
        self.0.push(accidental);
    }

    /// A bar line: nothing reaches over it.
    pub(super) fn clear(&mut self) {
        self.0.clear();
    }

    /// The latest one that reaches a note which has none itself.
    pub(super) fn reaching(&self, letter: Letter, octave: i32, propagation: Propagation) -> Option<Accidental> {
        let reaches = |known: &Accidental| match propagation {
            Propagation::Not => false,
            Propagation::Octave => (known.letter, known.octave) == (letter, octave),
            Propagation::Pitch => known.letter == letter,
        };
        self.0.iter().rev().copied().find(reaches)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By ABC 2.1 §11.3: after a sharp f of octave 4 and a natural one of octave 5.
    #[test]
    fn the_latest_that_reaches_a_note_holds() {
        let mut bar = Accidentals::default();
        let sharp = Accidental { letter: Letter::F, octave: 4, alter: 1 };
        let natural = Accidental { letter: Letter::F, octave: 5, alter: 0 };
        bar.write(sharp);
        bar.write(natural);
        let of = |octave, propagation| bar.reaching(Letter::F, octave, propagation);
        assert_eq!(of(4, Propagation::Octave), Some(sharp));
        assert_eq!(of(4, Propagation::Pitch), Some(natural));
        assert_eq!(of(6, Propagation::Pitch), Some(natural));
        assert_eq!(of(6, Propagation::Octave), None);
        assert_eq!(of(4, Propagation::Not), None);
        assert_eq!(bar.reaching(Letter::G, 4, Propagation::Pitch), None);
        bar.clear();
        assert_eq!(bar.reaching(Letter::F, 4, Propagation::Pitch), None);
    }
}
