//! Pitches, lengths, tempos and lever states as they stand in a document.

use super::error::value;
use crate::said;
use leverlane_core::harp::{LeverState, StringNumber};
use leverlane_core::meter::Meter;
use leverlane_core::pitch::{Key, Letter, SpelledPitch};
use leverlane_core::score::Hand;
use leverlane_core::time::{Tempo, Ticks};
use serde::{Deserialize, Serialize};

use super::DocumentError;

/// `down` or `up`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum WrittenState {
    /// The lever off.
    Down,
    /// The lever on.
    Up,
}

impl From<LeverState> for WrittenState {
    fn from(state: LeverState) -> WrittenState {
        match state {
            LeverState::Down => WrittenState::Down,
            LeverState::Up => WrittenState::Up,
        }
    }
}

impl From<WrittenState> for LeverState {
    fn from(state: WrittenState) -> LeverState {
        match state {
            WrittenState::Down => LeverState::Down,
            WrittenState::Up => LeverState::Up,
        }
    }
}

/// `left` or `right`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum WrittenHand {
    /// The left hand.
    Left,
    /// The right hand.
    Right,
}

impl From<Hand> for WrittenHand {
    fn from(hand: Hand) -> WrittenHand {
        match hand {
            Hand::Left => WrittenHand::Left,
            Hand::Right => WrittenHand::Right,
        }
    }
}

impl From<WrittenHand> for Hand {
    fn from(hand: WrittenHand) -> Hand {
        match hand {
            WrittenHand::Left => Hand::Left,
            WrittenHand::Right => Hand::Right,
        }
    }
}

/// So many beats a minute; the beat in quarter notes, "1/1" or "3/2".
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WrittenTempo {
    beat: String,
    per_minute: f64,
}

impl From<Tempo> for WrittenTempo {
    fn from(tempo: Tempo) -> WrittenTempo {
        WrittenTempo { beat: tempo.beat().to_string(), per_minute: tempo.per_minute() }
    }
}

impl WrittenTempo {
    /// # Errors
    /// A beat of no length, or a tempo outside 5–400 quarter notes a minute.
    pub fn read(&self, place: &str) -> Result<Tempo, DocumentError> {
        let beat = length(place, &self.beat)?;
        if beat <= Ticks::ZERO {
            return Err(DocumentError::invalid(
                place,
                value(&self.beat),
                said!("a beat longer than nothing, such as 1/1"),
            ));
        }
        let expected = said!("5 to 400 quarter notes a minute");
        Tempo::beats(beat, self.per_minute).map_err(|_| DocumentError::invalid(place, value(self.per_minute), expected))
    }
}

/// A pitch such as `F#4`.
pub fn pitch(place: &str, text: &str) -> Result<SpelledPitch, DocumentError> {
    text.parse()
        .map_err(|_| DocumentError::invalid(place, value(format!("\"{text}\"")), said!("a pitch such as F#4 or Bb3")))
}

/// A letter A to G.
pub fn letter(place: &str, text: &str) -> Result<Letter, DocumentError> {
    let mut chars = text.chars();
    let letter = chars.next().and_then(Letter::from_char).filter(|_| chars.next().is_none());
    letter.ok_or_else(|| DocumentError::invalid(place, value(format!("\"{text}\"")), said!("a letter A to G")))
}

/// A string's number, from 1 at the top.
pub fn string(place: &str, number: u8) -> Result<StringNumber, DocumentError> {
    StringNumber::new(number)
        .ok_or_else(|| DocumentError::invalid(place, value(number), said!("a string's number, from 1")))
}

/// A length in quarter notes as a ratio, `3/2`.
pub fn length(place: &str, text: &str) -> Result<Ticks, DocumentError> {
    let ticks = || {
        let (numerator, denominator) = text.split_once('/')?;
        Ticks::from_quarters(numerator.trim().parse().ok()?, denominator.trim().parse().ok()?)
    };
    ticks().ok_or_else(|| {
        DocumentError::invalid(place, value(format!("\"{text}\"")), said!("quarter notes as a ratio, such as 3/2"))
    })
}

/// A meter such as `6/8` or `3+2/8`.
pub fn meter(place: &str, text: &str) -> Result<Meter, DocumentError> {
    let read = || {
        let (above, below) = text.split_once('/')?;
        let groups: Vec<u8> = above.split('+').map(|group| group.trim().parse().ok()).collect::<Option<_>>()?;
        Meter::new(&groups, below.trim().parse().ok()?).ok()
    };
    read().ok_or_else(|| {
        DocumentError::invalid(place, value(format!("\"{text}\"")), said!("a meter such as 4/4, 6/8 or 3+2/8"))
    })
}

/// A key signature by its sharps, or flats below 0.
pub fn key(place: &str, fifths: i8) -> Result<Key, DocumentError> {
    Key::from_fifths(fifths)
        .ok_or_else(|| DocumentError::invalid(place, value(fifths), said!("-7 (seven flats) to 7 (seven sharps)")))
}

/// A text as its lines, so that it can be read in a file; nothing of it is lost.
pub fn lines_of(text: &str) -> Vec<String> {
    text.split('\n').map(str::to_owned).collect()
}

/// A measure within bounds; neither infinite nor no number.
pub fn within(
    place: &str,
    number: f64,
    bounds: std::ops::RangeInclusive<f64>,
    unit: &str,
) -> Result<f64, DocumentError> {
    if bounds.contains(&number) {
        Ok(number)
    } else {
        let expected =
            said!("{start} to {end} {unit}", start = bounds.start().to_string(), end = bounds.end().to_string(), unit);
        Err(DocumentError::invalid(place, value(number), expected))
    }
}
