//! Which notes the harp plays, and with which hand.

mod way;

pub use way::HandWay;

use std::collections::BTreeMap;
use std::fmt;
use std::ops::Not;

use super::{BarIndex, Note, NoteRef, Part, Score, VoiceIndex};
use crate::pitch::SpelledPitch;

/// One of the player's hands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Hand {
    /// Usually the lower staff, and usually the one that flips.
    Left,
    /// Usually the upper staff.
    Right,
}

impl Hand {
    /// Left, then right.
    pub const BOTH: [Hand; 2] = [Hand::Left, Hand::Right];
}

impl Not for Hand {
    type Output = Hand;
    fn not(self) -> Hand {
        match self {
            Hand::Left => Hand::Right,
            Hand::Right => Hand::Left,
        }
    }
}

impl fmt::Display for Hand {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Hand::Left => "left",
            Hand::Right => "right",
        })
    }
}

/// How notes are given to hands.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum HandRule {
    /// The first part on two staves is the harp, by its staves. Where there is none and only one part, it goes by its
    /// voices, if a second voice sounds in half of the bars or more; else notes from middle C up go right, the rest
    /// left. Otherwise all parts together are the harp, the upper half of them right. [`HandRule::resolved`] says which
    /// of these it is for a score.
    #[default]
    Usual,
    /// These parts are the harp; from the given pitch up right, below it left.
    SplitAt {
        /// Parts by their place in the score.
        parts: Vec<usize>,
        /// The lowest pitch of the right hand.
        lowest_right: SpelledPitch,
    },
    /// These parts are the harp, by staves: the first right, all others left.
    ByStaff {
        /// Parts by their place in the score.
        parts: Vec<usize>,
    },
    /// These parts are the harp, by voices: in each part the voice that lies highest (on average) right, all others
    /// left.
    ByVoice {
        /// Parts by their place in the score.
        parts: Vec<usize>,
    },
    /// Whole parts are one hand's.
    ByPart {
        /// The right hand's parts by their place in the score.
        right: Vec<usize>,
        /// The left hand's.
        left: Vec<usize>,
    },
    /// These parts are the harp, all in one hand.
    All {
        /// Parts by their place in the score.
        parts: Vec<usize>,
        /// The hand that plays them.
        hand: Hand,
    },
    /// One rule, but for some bars another.
    ByBars {
        /// The rule wherever no range says otherwise.
        otherwise: Box<HandRule>,
        /// The exceptions; where they overlap the later one holds.
        ranges: Vec<BarHands>,
    },
}

/// A rule for some bars.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BarHands {
    /// The first bar.
    pub first: BarIndex,
    /// The last bar.
    pub last: BarIndex,
    /// The rule.
    pub rule: HandRule,
}

impl HandRule {
    /// The same rule, but for the bars from `first` to `last` another. Exceptions inside those bars go.
    pub fn with_bars(self, first: BarIndex, last: BarIndex, rule: HandRule) -> HandRule {
        let (otherwise, mut ranges) = match self {
            HandRule::ByBars { otherwise, ranges } => (otherwise, ranges),
            plain => (Box::new(plain), Vec::new()),
        };
        ranges.retain(|range| range.first < first || range.last > last);
        ranges.push(BarHands { first, last, rule });
        HandRule::ByBars { otherwise, ranges }
    }

    /// The rule that holds in a bar.
    pub fn in_bar(&self, bar: BarIndex) -> &HandRule {
        match self {
            HandRule::ByBars { otherwise, ranges } => {
                let here = ranges.iter().rev().find(|range| (range.first..=range.last).contains(&bar));
                here.map_or(&**otherwise, |range| &range.rule).in_bar(bar)
            }
            plain => plain,
        }
    }

    /// What the rule comes to in a score: the usual rule as the one that it stands for there.
    pub fn resolved(&self, score: &Score) -> HandRule {
        match self {
            HandRule::Usual => usual(score),
            HandRule::ByBars { otherwise, ranges } => {
                let range = |range: &BarHands| BarHands { rule: range.rule.resolved(score), ..range.clone() };
                HandRule::ByBars {
                    otherwise: Box::new(otherwise.resolved(score)),
                    ranges: ranges.iter().map(range).collect(),
                }
            }
            plain => plain.clone(),
        }
    }
}

fn usual(score: &Score) -> HandRule {
    match score.parts().iter().position(|part| part.staves >= 2) {
        Some(harp) => HandRule::ByStaff { parts: vec![harp] },
        None => usual_of(score, (0..score.parts().len()).collect()),
    }
}

/// What is usual where just these parts are the harp.
fn usual_of(score: &Score, chosen: Vec<usize>) -> HandRule {
    let has_staves = |part: &usize| score.parts().get(*part).is_some_and(|part| part.staves >= 2);
    let has_voices =
        |part: usize| score.parts().get(part).is_some_and(|part| has_second_voice(part, score.bars().len()));
    match &chosen[..] {
        parts if parts.iter().any(has_staves) => HandRule::ByStaff { parts: chosen },
        [only] if has_voices(*only) => HandRule::ByVoice { parts: chosen },
        [_] => HandRule::SplitAt { parts: chosen, lowest_right: SpelledPitch::MIDDLE_C },
        many => {
            let (right, left) = many.split_at(many.len().div_ceil(2));
            HandRule::ByPart { right: right.to_vec(), left: left.to_vec() }
        }
    }
}

/// Whether a second voice sounds in half of the bars that hold notes, or more.
fn has_second_voice(part: &Part, bars: usize) -> bool {
    let mut sounding: Vec<Option<VoiceIndex>> = vec![None; bars];
    let mut two = vec![false; bars];
    for note in &part.notes {
        let bar = note.bar.get();
        match sounding[bar] {
            Some(voice) if voice != note.voice => two[bar] = true,
            _ => sounding[bar] = Some(note.voice),
        }
    }
    let with_notes = sounding.iter().flatten().count();
    with_notes > 0 && 2 * two.iter().filter(|two| **two).count() >= with_notes
}

/// The voice of a part that lies highest on average.
fn highest_voice(part: &Part) -> Option<VoiceIndex> {
    let mut sums: BTreeMap<VoiceIndex, (i64, i64)> = BTreeMap::new();
    for note in &part.notes {
        let (sum, count) = sums.entry(note.voice).or_default();
        *sum += i64::from(note.pitch.midi().get());
        *count += 1;
    }
    // Averages compared as fractions; of equal ones the first voice.
    let higher = |a: &(i64, i64), b: &(i64, i64)| a.0 * b.1 > b.0 * a.1;
    sums.into_iter().reduce(|best, next| if higher(&next.1, &best.1) { next } else { best }).map(|(voice, _)| voice)
}

/// The hand of every note of a score; notes of other players have none.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hands(Vec<Vec<Option<Hand>>>);

impl Hands {
    /// Gives every note its hand by a rule. Parts that the rule names and the score doesn't have are passed over.
    pub fn assign(score: &Score, rule: &HandRule) -> Hands {
        let parts = score.parts();
        let only = |wanted: &[usize], hand_of: &dyn Fn(usize, &Note) -> Hand| {
            let each = |(index, part): (usize, &Part)| {
                let plays = wanted.contains(&index);
                part.notes.iter().map(|note| plays.then(|| hand_of(index, note))).collect()
            };
            Hands(parts.iter().enumerate().map(each).collect())
        };
        let right_if = |right: bool| if right { Hand::Right } else { Hand::Left };
        match rule {
            HandRule::Usual => Hands::assign(score, &rule.resolved(score)),
            HandRule::SplitAt { parts, lowest_right } => {
                only(parts, &|_, note| right_if(note.pitch.midi() >= lowest_right.midi()))
            }
            HandRule::ByStaff { parts } => only(parts, &|_, note| right_if(note.staff <= 1)),
            HandRule::ByVoice { parts: wanted } => {
                let highest: Vec<Option<VoiceIndex>> = parts.iter().map(highest_voice).collect();
                only(wanted, &|part, note| right_if(highest[part] == Some(note.voice)))
            }
            HandRule::ByPart { right, left } => {
                only(&[&right[..], &left[..]].concat(), &|part, _| right_if(right.contains(&part)))
            }
            HandRule::All { parts, hand } => only(parts, &|_, _| *hand),
            HandRule::ByBars { otherwise, ranges } => {
                let mut hands = Hands::assign(score, otherwise);
                for range in ranges {
                    let inside = Hands::assign(score, &range.rule);
                    for ((part, hands), inside) in parts.iter().zip(&mut hands.0).zip(inside.0) {
                        let from = part.notes.partition_point(|note| note.bar < range.first);
                        let to = part.notes.partition_point(|note| note.bar <= range.last).max(from);
                        hands[from..to].clone_from_slice(&inside[from..to]);
                    }
                }
                hands
            }
        }
    }

    /// The hand that plays a note; none for other players' notes.
    pub fn of(&self, note: NoteRef) -> Option<Hand> {
        self.0.get(note.part)?.get(note.note).copied().flatten()
    }
}

#[cfg(test)]
mod tests;
