//! Hands as a player says them: by staff, by voice, by pitch; for which parts is another matter.

use super::{BarHands, Hand, HandRule, usual_of};
use crate::pitch::SpelledPitch;
use crate::score::Score;

/// How the notes of the harp's parts are given to hands, whichever parts these are.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum HandWay {
    /// By staff, else by voice, else by pitch; several parts of one staff each are one hand's.
    #[default]
    Usual,
    /// The first staff right, all others left.
    Staff,
    /// The highest voice right, all others left.
    Voice,
    /// From this pitch up right, below it left.
    SplitAt(SpelledPitch),
    /// All in one hand.
    One(Hand),
}

impl HandWay {
    /// The rule for these parts, by their place in the score; where none are named, for those that the usual rule takes.
    pub fn rule(self, score: &Score, chosen: Option<&[usize]>) -> HandRule {
        let parts = match (self, chosen) {
            (HandWay::Usual, None) => return HandRule::Usual,
            (_, Some(chosen)) => chosen.to_vec(),
            (_, None) => HandRule::Usual.parts(score),
        };
        match self {
            HandWay::Usual => usual_of(score, parts),
            HandWay::Staff => HandRule::ByStaff { parts },
            HandWay::Voice => HandRule::ByVoice { parts },
            HandWay::SplitAt(lowest_right) => HandRule::SplitAt { parts, lowest_right },
            HandWay::One(hand) => HandRule::All { parts, hand },
        }
    }
}

impl HandRule {
    /// How the rule goes, wherever no range of bars says otherwise.
    pub fn way(&self) -> HandWay {
        match self {
            HandRule::Usual | HandRule::ByPart { .. } => HandWay::Usual,
            HandRule::ByStaff { .. } => HandWay::Staff,
            HandRule::ByVoice { .. } => HandWay::Voice,
            HandRule::SplitAt { lowest_right, .. } => HandWay::SplitAt(*lowest_right),
            HandRule::All { hand, .. } => HandWay::One(*hand),
            HandRule::ByBars { otherwise, .. } => otherwise.way(),
        }
    }

    /// The harp's parts, by their place in the score, wherever no range of bars says otherwise.
    pub fn parts(&self, score: &Score) -> Vec<usize> {
        let mut parts = match self.resolved(score) {
            HandRule::ByBars { otherwise, .. } => otherwise.parts(score),
            HandRule::ByPart { right, left } => [right, left].concat(),
            HandRule::SplitAt { parts, .. }
            | HandRule::ByStaff { parts }
            | HandRule::ByVoice { parts }
            | HandRule::All { parts, .. } => parts,
            // The usual rule never comes to itself.
            HandRule::Usual => Vec::new(),
        };
        parts.sort_unstable();
        parts.dedup();
        parts
    }

    /// The exceptions for some bars; where they overlap the later one holds.
    pub fn ranges(&self) -> &[BarHands] {
        match self {
            HandRule::ByBars { ranges, .. } => ranges,
            _ => &[],
        }
    }

    /// The rule with other parts as the harp, each note going to its hand in the same way as before.
    pub fn with_parts(&self, score: &Score, parts: &[usize]) -> HandRule {
        let same_way = |rule: &HandRule| rule.way().rule(score, Some(parts));
        let ranges = self.ranges().iter();
        let ranges = ranges.map(|range| BarHands { rule: same_way(&range.rule), ..range.clone() }).collect();
        same_way(self).with_ranges(ranges)
    }

    /// Another rule wherever no range of bars says otherwise, for the same parts.
    pub fn with_way(&self, score: &Score, way: HandWay) -> HandRule {
        // The usual rule for the usual parts is the usual rule itself.
        let parts = self.parts(score);
        let chosen = (parts != HandRule::Usual.parts(score)).then_some(&parts[..]);
        way.rule(score, chosen).with_ranges(self.ranges().to_vec())
    }

    /// The rule without one of its exceptions, by its place in [`HandRule::ranges`].
    pub fn without_range(&self, place: usize) -> HandRule {
        let HandRule::ByBars { otherwise, ranges } = self else { return self.clone() };
        let kept = ranges.iter().enumerate().filter(|(index, _)| *index != place).map(|(_, range)| range.clone());
        (**otherwise).clone().with_ranges(kept.collect())
    }

    fn with_ranges(self, ranges: Vec<BarHands>) -> HandRule {
        if ranges.is_empty() { self } else { HandRule::ByBars { otherwise: Box::new(self), ranges } }
    }
}
