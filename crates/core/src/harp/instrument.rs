//! A whole harp.

use super::{HarpString, Lever, LeverState, StringNumber, StringPlace, StringSound, Tuning};
use crate::pitch::{Letter, MidiNote, SpelledPitch};

/// A harp: a name and its strings from the top.
///
/// There are 1 to [`Harp::MOST_STRINGS`] strings, each on a lower staff position than the one before it, and each can
/// be raised by a semitone without leaving the range of MIDI numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Harp {
    name: String,
    strings: Vec<HarpString>,
}

/// A list of strings that makes no harp.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum HarpError {
    /// Too few or too many strings.
    #[error("a harp of {found} strings: expected 1 to {}", Harp::MOST_STRINGS)]
    StringCount {
        /// How many there were.
        found: usize,
    },
    /// Strings out of order.
    #[error(
        "string {number} ({open}) does not lie below the string above it: list the strings from the top, each letter lower"
    )]
    NotDescending {
        /// The offending string's number from the top.
        number: usize,
        /// Its open pitch.
        open: String,
    },
    /// A string that no lever could raise within the range of pitches.
    #[error("string {number} ({open}) can't be raised: its raised pitch has no MIDI number")]
    OutOfRange {
        /// The offending string's number from the top.
        number: usize,
        /// Its open pitch.
        open: String,
    },
}

impl Harp {
    /// More than any lever harp has (common practice: 19 to 40).
    pub const MOST_STRINGS: usize = 60;

    /// A harp from its strings, top string first.
    ///
    /// # Errors
    /// No strings or too many, strings not in descending order of letters, or one that can't be raised.
    pub fn new(name: impl Into<String>, strings: Vec<HarpString>) -> Result<Harp, HarpError> {
        if strings.is_empty() || strings.len() > Self::MOST_STRINGS {
            return Err(HarpError::StringCount { found: strings.len() });
        }
        for (index, string) in strings.iter().enumerate() {
            let (number, open) = (index + 1, || string.open.ascii());
            if index > 0 && string.open.staff_steps() >= strings[index - 1].open.staff_steps() {
                return Err(HarpError::NotDescending { number, open: open() });
            }
            if string.open.altered_by(1).is_err() {
                return Err(HarpError::OutOfRange { number, open: open() });
            }
        }
        Ok(Harp { name: name.into(), strings })
    }

    /// A string for every letter from `highest` down to `lowest`, in a tuning, a lever on each, at nominal places.
    /// Only letter and octave of the two pitches count.
    ///
    /// # Errors
    /// As [`Harp::new`].
    pub fn spanning(
        name: impl Into<String>,
        highest: SpelledPitch,
        lowest: SpelledPitch,
        tuning: Tuning,
    ) -> Result<Harp, HarpError> {
        let strings = (lowest.staff_steps()..=highest.staff_steps())
            .rev()
            .enumerate()
            .filter_map(|(below_top, steps)| {
                let letter = Letter::from_steps(i32::from(steps));
                let octave = i8::try_from(steps.div_euclid(7)).ok()?;
                let open = SpelledPitch::new(letter, tuning.alter(letter), octave).ok()?;
                let place = StringPlace::nominal(open, below_top);
                Some(HarpString { open, lever: Lever::UNCHECKED, place, sound: StringSound::UNHEARD })
            })
            .collect();
        Harp::new(name, strings)
    }

    /// The same harp with levers only on the strings of the given letters.
    pub fn with_levers_on(mut self, letters: &[Letter]) -> Harp {
        for string in &mut self.strings {
            if !letters.contains(&string.open.letter()) {
                string.lever = Lever::NotFitted;
            }
        }
        self
    }

    /// The same harp with every open string in a tuning, levers and places as they are.
    ///
    /// # Errors
    /// As [`Harp::new`].
    pub fn retuned(&self, tuning: Tuning) -> Result<Harp, HarpError> {
        let retuned = |string: &HarpString| {
            let letter = string.open.letter();
            let open = SpelledPitch::new(letter, tuning.alter(letter), string.open.octave()).unwrap_or(string.open);
            HarpString { open, ..string.clone() }
        };
        Harp::new(self.name.clone(), self.strings.iter().map(retuned).collect())
    }

    /// The same harp with one string's open pitch changed; its letter and octave stay.
    ///
    /// # Errors
    /// As [`Harp::new`]. A string that the harp doesn't have changes nothing.
    pub fn with_string_tuned(&self, number: StringNumber, open: SpelledPitch) -> Result<Harp, HarpError> {
        let mut strings = self.strings.clone();
        if let Some(string) = strings.get_mut(number.index()) {
            string.open = open;
        }
        Harp::new(self.name.clone(), strings)
    }

    /// The usual tuning that all its strings follow, if there is one.
    pub fn usual_tuning(&self) -> Option<Tuning> {
        let follows = |tuning: &Tuning| {
            self.strings.iter().all(|string| string.open.alter() == tuning.alter(string.open.letter()))
        };
        Tuning::ALL.into_iter().find(follows)
    }

    /// What the player calls it.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The strings from the top.
    pub fn strings(&self) -> &[HarpString] {
        &self.strings
    }

    /// The strings with their numbers, from the top.
    pub fn numbered(&self) -> impl Iterator<Item = (StringNumber, &HarpString)> {
        self.strings.iter().enumerate().map(|(index, string)| (StringNumber::from_index(index), string))
    }

    /// One string, if the harp has it.
    pub fn string(&self, number: StringNumber) -> Option<&HarpString> {
        self.strings.get(number.index())
    }

    /// The string of a letter in an octave, if the harp has it.
    pub fn string_of_letter(&self, pitch: SpelledPitch) -> Option<(StringNumber, &HarpString)> {
        self.numbered().find(|(_, string)| string.open.staff_steps() == pitch.staff_steps())
    }

    /// Every way to sound a note: each string that is open on it or can be raised to it, with the lever state.
    pub fn ways_to_sound(&self, note: MidiNote) -> impl Iterator<Item = (StringNumber, LeverState)> + '_ {
        self.numbered().flat_map(move |(number, string)| {
            [LeverState::Down, LeverState::Up]
                .into_iter()
                .filter(move |&state| string.allows(state) && string.sounds(state).midi() == note)
                .map(move |state| (number, state))
        })
    }
}

#[cfg(test)]
mod tests;
