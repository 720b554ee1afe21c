//! Arguments about hands: a rule for the piece, and others for some of its bars.

use std::str::FromStr;

use leverlane_core::pitch::SpelledPitch;
use leverlane_core::score::{BarIndex, Hand, HandRule, Score};

/// How notes are given to hands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum HandsChoice {
    /// By staff, else by voice, else by pitch.
    #[default]
    Usual,
    /// By staves, the first right.
    Staff,
    /// By voices, the highest right.
    Voice,
    /// From this pitch up right.
    Split(SpelledPitch),
    /// All in one hand.
    One(Hand),
}

impl FromStr for HandsChoice {
    type Err = String;

    fn from_str(text: &str) -> Result<HandsChoice, String> {
        match text {
            "usual" => Ok(HandsChoice::Usual),
            "staff" => Ok(HandsChoice::Staff),
            "voice" => Ok(HandsChoice::Voice),
            "left" => Ok(HandsChoice::One(Hand::Left)),
            "right" => Ok(HandsChoice::One(Hand::Right)),
            _ => match text.strip_prefix("split=") {
                Some(pitch) => pitch.parse().map(HandsChoice::Split).map_err(|error| format!("{error}")),
                None => Err("expected usual, staff, voice, left, right or split=PITCH, such as split=C4".to_owned()),
            },
        }
    }
}

impl HandsChoice {
    /// The rule for the chosen parts. Where no part was chosen, the parts that the usual rule takes are taken.
    pub fn rule(self, score: &Score, chosen: Option<&[usize]>) -> HandRule {
        let two_staves = |part: &usize| score.parts().get(*part).is_some_and(|part| part.staves >= 2);
        if self == HandsChoice::Usual && chosen.is_none() {
            return HandRule::Usual;
        }
        let parts = chosen.map(<[usize]>::to_vec).unwrap_or_else(|| {
            let all = 0..score.parts().len();
            all.clone().find(two_staves).map_or_else(|| all.collect(), |harp| vec![harp])
        });
        match self {
            HandsChoice::Usual if parts.iter().any(two_staves) => HandRule::ByStaff { parts },
            HandsChoice::Usual => HandRule::SplitAt { parts, lowest_right: SpelledPitch::MIDDLE_C },
            HandsChoice::Staff => HandRule::ByStaff { parts },
            HandsChoice::Voice => HandRule::ByVoice { parts },
            HandsChoice::Split(lowest_right) => HandRule::SplitAt { parts, lowest_right },
            HandsChoice::One(hand) => HandRule::All { parts, hand },
        }
    }
}

/// A rule for some bars: `9-12=left`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HandsInBars {
    /// The bars as typed.
    pub bars: String,
    /// The rule.
    pub choice: HandsChoice,
}

impl FromStr for HandsInBars {
    type Err = String;

    fn from_str(text: &str) -> Result<HandsInBars, String> {
        let (bars, rule) = text.split_once('=').ok_or("expected bars and a rule, such as 9-12=left")?;
        Ok(HandsInBars { bars: bars.trim().to_owned(), choice: rule.parse()? })
    }
}

/// The written bars that `A-B` or `A` names by their printed numbers: the first A, and the first B from there on.
/// Printed numbers may themselves hold hyphens, so every one is tried.
pub fn bars_named(text: &str, score: &Score) -> Option<(BarIndex, BarIndex)> {
    let find = |wanted: &str, from: usize| {
        (from..score.bars().len()).find(|&index| score.bars()[index].number.trim() == wanted.trim())
    };
    let pairs = text.match_indices('-').map(|(at, _)| (&text[..at], &text[at + 1..]));
    std::iter::once((text, text)).chain(pairs).find_map(|(from, to)| {
        let first = find(from, 0)?;
        Some((BarIndex::new(first), BarIndex::new(find(to, first)?)))
    })
}
