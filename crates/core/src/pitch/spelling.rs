//! Pitches as they are written: letter, alteration, octave.

use std::fmt;
use std::str::FromStr;

use super::{Letter, MidiNote};

/// A pitch with its spelling, such as F♯4 in scientific pitch notation (C4 is middle C, MIDI 60).
///
/// The alteration is −3 to 3 semitones, and the pitch always has a MIDI number. Ordered by staff position first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SpelledPitch {
    octave: i8,
    letter: Letter,
    alter: i8,
}

/// A pitch that has no MIDI number, or a text that names none.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "\"{found}\" is no pitch between C-1 and G9: expected a letter A to G, sharps or flats, and an octave, such as F#4 or Bb3"
)]
pub struct PitchError {
    /// What was given.
    pub found: String,
}

impl SpelledPitch {
    /// C4.
    pub const MIDDLE_C: SpelledPitch = SpelledPitch { octave: 4, letter: Letter::C, alter: 0 };

    /// A letter, altered by semitones (sharp 1, flat −1), in a scientific octave.
    ///
    /// # Errors
    /// An alteration beyond a triple sharp or flat, or a pitch outside MIDI's 0–127.
    pub fn new(letter: Letter, alter: i8, octave: i8) -> Result<SpelledPitch, PitchError> {
        let pitch = SpelledPitch { octave, letter, alter };
        if (-3..=3).contains(&alter) && (0..=127).contains(&pitch.semitones()) {
            Ok(pitch)
        } else {
            Err(PitchError { found: format!("{letter}{octave} altered by {alter}") })
        }
    }

    fn semitones(self) -> i16 {
        12 * (i16::from(self.octave) + 1) + i16::from(self.letter.semitones_above_c()) + i16::from(self.alter)
    }

    /// The letter.
    pub const fn letter(self) -> Letter {
        self.letter
    }

    /// Semitones above the natural.
    pub const fn alter(self) -> i8 {
        self.alter
    }

    /// The scientific octave.
    pub const fn octave(self) -> i8 {
        self.octave
    }

    /// The semitone number.
    pub fn midi(self) -> MidiNote {
        // The constructor has checked the range, so nothing is cut off.
        MidiNote::saturating(self.semitones())
    }

    /// Steps on the staff above C0, whatever the alteration: 7 · octave + letter.
    pub fn staff_steps(self) -> i16 {
        7 * i16::from(self.octave) + i16::from(self.letter.steps_above_c())
    }

    /// The same letter and octave, altered by so many semitones more.
    ///
    /// # Errors
    /// As [`SpelledPitch::new`].
    pub fn altered_by(self, semitones: i8) -> Result<SpelledPitch, PitchError> {
        SpelledPitch::new(self.letter, self.alter.saturating_add(semitones), self.octave)
    }

    /// The harpist's octave: counted downward, each running from E down to F, the octave of the first strings above
    /// the topmost E being 0 (practice of harp-string makers: 7 − ⌊(d − 3)/7⌋ with d the staff steps above C0).
    pub fn harp_octave(self) -> i16 {
        7 - (self.staff_steps() - 3).div_euclid(7)
    }

    /// Plain letters for files and the command line: `F#4`, `Bb3`, `C4`.
    pub fn ascii(self) -> String {
        self.with_signs("#", "b")
    }

    fn with_signs(self, sharp: &str, flat: &str) -> String {
        let sign = if self.alter < 0 { flat } else { sharp };
        format!("{}{}{}", self.letter, sign.repeat(usize::from(self.alter.unsigned_abs())), self.octave)
    }
}

/// As musicians print it: `F♯4`, `B♭3`, `C4`.
impl fmt::Display for SpelledPitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.with_signs("♯", "♭"))
    }
}

/// Reads `F#4`, `F♯4`, `Bb3`, `B♭3`, `C-1`.
impl FromStr for SpelledPitch {
    type Err = PitchError;

    fn from_str(text: &str) -> Result<SpelledPitch, PitchError> {
        let error = || PitchError { found: text.to_owned() };
        let mut rest = text.trim().chars();
        let letter = rest.next().and_then(Letter::from_char).ok_or_else(error)?;
        let mut alter = 0i8;
        let mut octave = String::new();
        for c in rest {
            match c {
                '#' | '♯' if octave.is_empty() && alter >= 0 => alter = alter.saturating_add(1),
                'b' | '♭' if octave.is_empty() && alter <= 0 => alter = alter.saturating_sub(1),
                _ => octave.push(c),
            }
        }
        let octave = octave.parse().map_err(|_| error())?;
        SpelledPitch::new(letter, alter, octave).map_err(|_| error())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pitch(text: &str) -> SpelledPitch {
        text.parse().unwrap()
    }

    #[test]
    fn texts_and_numbers() {
        for (text, midi) in [("C4", 60), ("F#4", 66), ("Gb4", 66), ("B#3", 60), ("Cb4", 59), ("C-1", 0), ("G9", 127)] {
            assert_eq!(pitch(text).midi().get(), midi, "{text}");
            assert_eq!(pitch(text).ascii(), text);
        }
        assert_eq!(pitch("Bb3").to_string(), "B♭3");
        assert_eq!(pitch("B♭3"), pitch("Bb3"));
        for bad in ["", "H4", "C", "C#b4", "G#9", "Cb-1", "C4x", "C####4", "♯4"] {
            assert!(bad.parse::<SpelledPitch>().is_err(), "{bad}");
        }
    }

    /// Harpists' octaves of known strings: C4 → 4, F4 → 3, C5 → 3, A6 → 1, C2 → 6, A1 → 6 (practice of string makers).
    #[test]
    fn harp_octaves_count_downward() {
        for (text, octave) in [("C4", 4), ("F4", 3), ("C5", 3), ("A6", 1), ("C2", 6), ("A1", 6), ("E7", 1), ("F7", 0)] {
            assert_eq!(pitch(text).harp_octave(), octave, "{text}");
        }
    }
}
