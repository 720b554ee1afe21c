//! Which notes the harp plays, and with which hand.

use std::fmt;
use std::ops::Not;

use super::{NoteRef, Part, Score};
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
    /// The first part on two staves is the harp: upper staff right, lower staff left. Where there is none and only one
    /// part, notes from middle C up go right, the rest left. Otherwise all parts together are the harp, the upper half
    /// of them right.
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
    /// These parts are the harp, all in one hand.
    All {
        /// Parts by their place in the score.
        parts: Vec<usize>,
        /// The hand that plays them.
        hand: Hand,
    },
}

/// The hand of every note of a score; notes of other players have none.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hands(Vec<Vec<Option<Hand>>>);

impl Hands {
    /// Gives every note its hand by a rule. Parts that the rule names and the score doesn't have are passed over.
    pub fn assign(score: &Score, rule: &HandRule) -> Hands {
        let middle_c = 60;
        let parts = score.parts();
        let only = |wanted: &[usize], hand_of: &dyn Fn(usize, usize) -> Hand| {
            let each = |(index, part): (usize, &Part)| {
                let plays = wanted.contains(&index);
                (0..part.notes.len()).map(|note| plays.then(|| hand_of(index, note))).collect()
            };
            Hands(parts.iter().enumerate().map(each).collect())
        };
        let by_staff =
            |part: usize, note: usize| if parts[part].notes[note].staff <= 1 { Hand::Right } else { Hand::Left };
        let split = |lowest_right: u8| {
            move |part: usize, note: usize| {
                if parts[part].notes[note].pitch.midi().get() >= lowest_right { Hand::Right } else { Hand::Left }
            }
        };
        match rule {
            HandRule::Usual => match (parts.iter().position(|part| part.staves >= 2), parts.len()) {
                (Some(harp), _) => only(&[harp], &by_staff),
                (None, 1) => only(&[0], &split(middle_c)),
                (None, count) => {
                    let all: Vec<usize> = (0..count).collect();
                    only(&all, &|part, _| if part < count.div_ceil(2) { Hand::Right } else { Hand::Left })
                }
            },
            HandRule::SplitAt { parts, lowest_right } => only(parts, &split(lowest_right.midi().get())),
            HandRule::ByStaff { parts } => only(parts, &by_staff),
            HandRule::All { parts, hand } => only(parts, &|_, _| *hand),
        }
    }

    /// The hand that plays a note; none for other players' notes.
    pub fn of(&self, note: NoteRef) -> Option<Hand> {
        self.0.get(note.part)?.get(note.note).copied().flatten()
    }
}
