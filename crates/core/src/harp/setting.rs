//! All levers at one moment.

use super::{Harp, LeverState, StringNumber};
use crate::pitch::Key;

/// Where every lever of a harp stands at one moment, from the top string down.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Setting(Vec<LeverState>);

impl Setting {
    /// Every lever of the harp down, as for tuning.
    pub fn all_down(harp: &Harp) -> Setting {
        Setting(vec![LeverState::Down; harp.strings().len()])
    }

    /// The levers as a key signature asks: up where the open string is a semitone below what the key wants of its
    /// letter, down everywhere else.
    pub fn for_key(harp: &Harp, key: Key) -> Setting {
        Setting(
            harp.strings()
                .iter()
                .map(|string| {
                    let raise = key.alter(string.open.letter()) - string.open.alter();
                    if raise == 1 && string.lever.is_fitted() { LeverState::Up } else { LeverState::Down }
                })
                .collect(),
        )
    }

    /// Where a string's lever stands; down for a string the harp doesn't have.
    pub fn of(&self, string: StringNumber) -> LeverState {
        self.0.get(string.index()).copied().unwrap_or_default()
    }

    /// Moves one lever; nothing happens for a string the harp doesn't have.
    pub fn set(&mut self, string: StringNumber, state: LeverState) {
        if let Some(lever) = self.0.get_mut(string.index()) {
            *lever = state;
        }
    }

    /// The strings with their lever states, from the top.
    pub fn levers(&self) -> impl Iterator<Item = (StringNumber, LeverState)> + '_ {
        self.0.iter().enumerate().map(|(index, &state)| (StringNumber::from_index(index), state))
    }

    /// The strings whose levers stand otherwise in `other`, with where they stand there.
    pub fn changes_to<'a>(&'a self, other: &'a Setting) -> impl Iterator<Item = (StringNumber, LeverState)> + 'a {
        other.levers().filter(|&(string, state)| self.of(string) != state)
    }
}
