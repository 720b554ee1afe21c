//! Lever marks as they are printed: letter and accidental where a lever is flipped, and the list of set levers at the
//! head of the piece (common practice; no standard defines a lever mark).
//!
//! A mark stands on a written bar; where the music comes by more than once and the levers go another way each time, it
//! says for which time through it is meant.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use super::Plan;
use crate::harp::{Harp, LeverState, StringNumber};
use crate::pitch::{Letter, SpelledPitch};
use crate::score::{BarIndex, Hand, Performance};
use crate::time::Ticks;

/// One flip as it is printed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FlipMark {
    /// The written bar.
    pub bar: BarIndex,
    /// Where in that bar, from its beginning.
    pub at: Ticks,
    /// The hand that flips: left marks stand under the left hand's staff, right ones over the right hand's.
    pub hand: Hand,
    /// The string.
    pub string: StringNumber,
    /// Where its lever goes.
    pub to: LeverState,
    /// What is printed.
    pub text: MarkText,
}

/// What a mark says: `F♯`, `F♯4` where the piece uses more than one string of that letter, `F♯ (2nd time)` where the
/// flip isn't made on every time through the bar.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct MarkText {
    /// The string's letter.
    pub letter: Letter,
    /// What it sounds from then on: semitones above the natural, −2 to 2.
    pub alter: i8,
    /// The scientific octave, where the letter alone doesn't say which string is meant.
    pub octave: Option<i8>,
    /// The times through the bar on which the flip is made, from 1; empty for every time.
    pub times: Vec<u32>,
}

impl fmt::Display for MarkText {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let accidental = match self.alter {
            ..=-2 => "♭♭",
            -1 => "♭",
            0 => "♮",
            1 => "♯",
            2.. => "♯♯",
        };
        write!(f, "{}{accidental}", self.letter)?;
        if let Some(octave) = self.octave {
            write!(f, "{octave}")?;
        }
        if !self.times.is_empty() {
            let times: Vec<String> = self.times.iter().map(|&time| ordinal(time)).collect();
            write!(f, " ({} time)", times.join(", "))?;
        }
        Ok(())
    }
}

/// A number in a row: `1st`, `2nd`, `3rd`, `4th`, `11th`, `21st`.
pub fn ordinal(number: u32) -> String {
    let ending = match (number % 10, number % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{number}{ending}")
}

/// The flips of a plan as marks on the written bars, by place; those of one place from the top string down.
pub fn flip_marks(plan: &Plan, performance: &Performance, harp: &Harp) -> Vec<FlipMark> {
    let named = NamedStrings::of(plan, harp);
    let mut times_played: BTreeMap<BarIndex, u32> = BTreeMap::new();
    for bar in performance.bars() {
        *times_played.entry(bar.bar).or_default() += 1;
    }
    // The same flip at the same written place on several times through is one mark.
    type Place = (BarIndex, Ticks, StringNumber, LeverState, Hand);
    let mut made: BTreeMap<Place, (SpelledPitch, BTreeSet<u32>)> = BTreeMap::new();
    for gesture in &plan.gestures {
        let Some(bar) = performance.bars().get(gesture.played_bar) else { continue };
        for flip in &gesture.flips {
            let place = (bar.bar, gesture.at - bar.starts, flip.string, flip.to, gesture.hand);
            let (_, times) = made.entry(place).or_insert_with(|| (flip.sounds, BTreeSet::new()));
            times.insert(bar.earlier_times + 1);
        }
    }
    made.into_iter()
        .map(|((bar, at, string, to, hand), (sounds, times))| {
            let every_time = times_played.get(&bar).is_some_and(|&all| u32::try_from(times.len()) == Ok(all));
            let text = MarkText {
                letter: sounds.letter(),
                alter: sounds.alter(),
                octave: named.octave(sounds),
                times: if every_time { Vec::new() } else { times.into_iter().collect() },
            };
            FlipMark { bar, at, hand, string, to, text }
        })
        .collect()
}

/// The levers to set before the start, letter by letter from C to B.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StartList {
    /// Letters of which most levers are up.
    pub letters: Vec<StartLetter>,
    /// Levers that are up where most of their letter are not, from the lowest.
    pub single_strings: Vec<MarkText>,
}

/// A letter that is set as a whole.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StartLetter {
    /// What its raised strings sound: `F♯`.
    pub raised: MarkText,
    /// Strings of the letter that have a lever and keep it down, from the lowest, by their open pitches.
    pub except: Vec<SpelledPitch>,
}

impl StartList {
    /// The list for a plan's start setting. Strings without a lever are passed over.
    pub fn of(plan: &Plan, harp: &Harp) -> StartList {
        let (mut letters, mut single_strings) = (Vec::new(), Vec::new());
        for letter in Letter::ALL {
            let standing = |wanted| {
                // From the lowest string.
                let of_letter = harp
                    .strings()
                    .iter()
                    .enumerate()
                    .rev()
                    .filter(move |(_, string)| string.open.letter() == letter && string.lever.is_fitted());
                of_letter
                    .filter(move |&(index, _)| plan.start.of(StringNumber::from_index(index)) == wanted)
                    .map(|(_, string)| string)
            };
            let up: Vec<SpelledPitch> = standing(LeverState::Up).map(|string| string.sounds(LeverState::Up)).collect();
            let down: Vec<SpelledPitch> = standing(LeverState::Down).map(|string| string.open).collect();
            let text = |raised: SpelledPitch, octave| MarkText { letter, alter: raised.alter(), octave, times: vec![] };
            let alike = up.windows(2).all(|pair| pair[0].alter() == pair[1].alter());
            match up.first() {
                Some(&first) if alike && up.len() > 1 && up.len() > down.len() => {
                    letters.push(StartLetter { raised: text(first, None), except: down });
                }
                _ => single_strings.extend(up.iter().map(|&raised| text(raised, Some(raised.octave())))),
            }
        }
        StartList { letters, single_strings }
    }
}

/// `F♯`, `F♯ but not F4`.
impl fmt::Display for StartLetter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.raised.fmt(f)?;
        for (index, open) in self.except.iter().enumerate() {
            write!(f, "{}{open}", if index == 0 { " but not " } else { " " })?;
        }
        Ok(())
    }
}

/// In a line: `Levers up: C♯, F♯ but not F4, G♯4`; `All levers down`.
impl fmt::Display for StartList {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let letters = self.letters.iter().map(StartLetter::to_string);
        let entries: Vec<String> = letters.chain(self.single_strings.iter().map(MarkText::to_string)).collect();
        if entries.is_empty() { f.write_str("All levers down") } else { write!(f, "Levers up: {}", entries.join(", ")) }
    }
}

/// Which letters need their octave: those of which more than one string is played or flipped. Where no string is known
/// to be played (flips noted from paper) every letter that the harp has more than once.
struct NamedStrings(BTreeSet<Letter>);

impl NamedStrings {
    fn of(plan: &Plan, harp: &Harp) -> NamedStrings {
        let flipped = plan.gestures.iter().flat_map(|gesture| &gesture.flips).map(|flip| flip.string);
        let played: BTreeSet<StringNumber> = plan.strings.iter().flatten().map(|&(string, _)| string).collect();
        let used: BTreeSet<StringNumber> = if played.is_empty() {
            harp.numbered().map(|(string, _)| string).collect()
        } else {
            played.into_iter().chain(flipped).collect()
        };
        let mut counts: BTreeMap<Letter, usize> = BTreeMap::new();
        for string in used.iter().filter_map(|&string| harp.string(string)) {
            *counts.entry(string.open.letter()).or_default() += 1;
        }
        NamedStrings(counts.into_iter().filter(|&(_, count)| count > 1).map(|(letter, _)| letter).collect())
    }

    fn octave(&self, sounds: SpelledPitch) -> Option<i8> {
        self.0.contains(&sounds.letter()).then_some(sounds.octave())
    }
}
