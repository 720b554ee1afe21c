//! Undo and redo over everything that the player decides about a piece.

use super::Wishes;

/// More steps back than this are forgotten, oldest first.
const MOST_STEPS: usize = 500;

/// What was decided before, and what was taken back.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct History {
    past: Vec<Wishes>,
    future: Vec<Wishes>,
}

impl History {
    /// Remembers what held before a change; what had been taken back is gone.
    pub fn remember(&mut self, before: Wishes) {
        if self.past.len() == MOST_STEPS {
            self.past.remove(0);
        }
        self.past.push(before);
        self.future.clear();
    }

    /// What held before the last change, if there was one; `now` can be had again by [`History::redo`].
    pub fn undo(&mut self, now: &Wishes) -> Option<Wishes> {
        let before = self.past.pop()?;
        self.future.push(now.clone());
        Some(before)
    }

    /// What was taken back last.
    pub fn redo(&mut self, now: &Wishes) -> Option<Wishes> {
        let after = self.future.pop()?;
        self.past.push(now.clone());
        Some(after)
    }

    /// Whether there is something to undo.
    pub fn can_undo(&self) -> bool {
        !self.past.is_empty()
    }

    /// Whether there is something to redo.
    pub fn can_redo(&self) -> bool {
        !self.future.is_empty()
    }

    /// Forgets everything, for another piece.
    pub fn clear(&mut self) {
        *self = History::default();
    }
}
