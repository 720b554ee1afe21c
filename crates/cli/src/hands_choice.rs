//! Arguments about hands: a rule for the piece, and others for some of its bars.

use std::str::FromStr;

use leverlane_core::score::{BarIndex, Hand, HandWay, Score};

/// Reads `usual`, `staff`, `voice`, `left`, `right` or `split=C4`.
///
/// # Errors
/// Anything else.
pub fn hand_way(text: &str) -> Result<HandWay, String> {
    match text {
        "usual" => Ok(HandWay::Usual),
        "staff" => Ok(HandWay::Staff),
        "voice" => Ok(HandWay::Voice),
        "left" => Ok(HandWay::One(Hand::Left)),
        "right" => Ok(HandWay::One(Hand::Right)),
        _ => match text.strip_prefix("split=") {
            Some(pitch) => pitch.parse().map(HandWay::SplitAt).map_err(|error| format!("{error}")),
            None => Err("expected usual, staff, voice, left, right or split=PITCH, such as split=C4".to_owned()),
        },
    }
}

/// A rule for some bars: `9-12=left`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HandsInBars {
    /// The bars as typed.
    pub bars: String,
    /// The rule.
    pub way: HandWay,
}

impl FromStr for HandsInBars {
    type Err = String;

    fn from_str(text: &str) -> Result<HandsInBars, String> {
        let (bars, rule) = text.split_once('=').ok_or("expected bars and a rule, such as 9-12=left")?;
        Ok(HandsInBars { bars: bars.trim().to_owned(), way: hand_way(rule)? })
    }
}

/// The written bars that `A-B` or `A` names by their printed numbers: the first A, and the first B from there on.
/// Printed numbers may themselves hold hyphens, so every one is tried.
pub fn bars_named(text: &str, score: &Score) -> Option<(BarIndex, BarIndex)> {
    let start = BarIndex::new(0);
    let pairs = text.match_indices('-').map(|(at, _)| (&text[..at], &text[at + 1..]));
    std::iter::once((text, text)).chain(pairs).find_map(|(from, to)| {
        let first = score.bar_numbered(from, start)?;
        Some((first, score.bar_numbered(to, first)?))
    })
}
