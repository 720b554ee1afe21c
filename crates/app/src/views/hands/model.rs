//! Who plays what, in words, and what each choice comes to.

use leverlane_core::pitch::{Letter, SpelledPitch};
use leverlane_core::score::{BarIndex, Hand, HandRule, HandWay};

use crate::state::{Piece, Wishes};
use crate::words::Words;

/// What the page shows.
#[derive(Clone, Debug, PartialEq)]
pub struct HandsModel {
    /// The score's parts in its order.
    pub parts: Vec<PartChoice>,
    /// The part that is kept as a cue line, by its place.
    pub cue_line: Option<usize>,
    /// The rule that holds now.
    pub rule: HandRule,
    /// What it comes to in this piece.
    pub comes_to: String,
    /// The bars that have hands of their own, each in words.
    pub ranges: Vec<String>,
    /// The rule with each part added or taken away.
    with_part: Vec<Option<HandRule>>,
}

/// A part to choose.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartChoice {
    /// Its name, or its number where it has none.
    pub name: String,
    /// Whether the harp plays it.
    pub is_harp: bool,
}

impl HandsModel {
    /// What is chosen for a piece.
    pub fn new(words: Words, piece: &Piece, wishes: &Wishes) -> HandsModel {
        let (score, rule) = (&piece.score, wishes.hands.clone());
        let harp = rule.parts(score);
        let part = |(index, part): (usize, &leverlane_core::score::Part)| PartChoice {
            name: match part.name.trim() {
                "" => words.with("hands-part", [("number", (index + 1).into())]),
                name => name.to_owned(),
            },
            is_harp: harp.contains(&index),
        };
        let parts: Vec<PartChoice> = score.parts().iter().enumerate().map(part).collect();
        let number = |bar: BarIndex| score.bar(bar).map_or("", |bar| bar.number.trim()).to_owned();
        let ranges = rule.ranges().iter().map(|range| {
            let gaps = [
                ("first", number(range.first).into()),
                ("last", number(range.last).into()),
                ("way", way_in_words(words, range.rule.way()).into()),
            ];
            words.with("hands-range", gaps)
        });
        let with_part = (0..parts.len()).map(|part| {
            let other = |index: &usize| (harp.contains(index)) != (*index == part);
            let chosen: Vec<usize> = (0..parts.len()).filter(other).collect();
            (!chosen.is_empty()).then(|| rule.with_parts(score, &chosen))
        });
        HandsModel {
            cue_line: wishes.cue_line.filter(|part| !harp.contains(part)),
            comes_to: comes_to(words, &rule.resolved(score)),
            ranges: ranges.collect(),
            with_part: with_part.collect(),
            parts,
            rule,
        }
    }

    /// The rule with a part added, or taken away where the harp plays it; none where nothing would be left to play.
    pub fn with_part(&self, part: usize) -> Option<HandRule> {
        self.with_part.get(part).cloned().flatten()
    }
}

/// The ways to choose from; by pitch at the present pitch, or else at middle C.
pub fn ways(present: HandWay) -> [HandWay; 6] {
    let split = match present {
        HandWay::SplitAt(pitch) => pitch,
        _ => SpelledPitch::MIDDLE_C,
    };
    [
        HandWay::Usual,
        HandWay::Staff,
        HandWay::Voice,
        HandWay::SplitAt(split),
        HandWay::One(Hand::Left),
        HandWay::One(Hand::Right),
    ]
}

/// A way in words.
pub fn way_in_words(words: Words, way: HandWay) -> String {
    match way {
        HandWay::Usual => words.text("hands-usual"),
        HandWay::Staff => words.text("hands-by-staff"),
        HandWay::Voice => words.text("hands-by-voice"),
        HandWay::SplitAt(pitch) => {
            words.with("hands-split", [("pitch", words.in_octave(&words.note(pitch), pitch).into())])
        }
        HandWay::One(Hand::Left) => words.text("hands-all-left"),
        HandWay::One(Hand::Right) => words.text("hands-all-right"),
    }
}

/// What a rule says where it says no more than what is usual.
fn comes_to(words: Words, resolved: &HandRule) -> String {
    match resolved {
        HandRule::ByPart { .. } => words.text("hands-by-part"),
        HandRule::ByBars { otherwise, .. } => comes_to(words, otherwise),
        rule => way_in_words(words, rule.way()),
    }
}

/// The string so many strings above another; none beyond the range of harps.
pub fn next_string(pitch: SpelledPitch, steps: i16) -> Option<SpelledPitch> {
    let to = pitch.staff_steps() + steps;
    let (octave, letter) = (i8::try_from(to.div_euclid(7)).ok()?, Letter::from_steps(i32::from(to)));
    SpelledPitch::new(letter, 0, octave).ok().filter(|_| (1..=8).contains(&octave))
}
