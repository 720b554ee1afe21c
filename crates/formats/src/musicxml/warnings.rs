//! Warnings as they gather during reading.

use std::collections::HashSet;

use leverlane_core::score::BarIndex;

use crate::{Said, Warning, said};

/// More than anybody would read; what comes after is counted.
const MOST: usize = 1_000;

/// Gathers warnings, each once a bar.
#[derive(Debug, Default)]
pub(crate) struct Warnings {
    gathered: Vec<Warning>,
    seen: HashSet<(Option<usize>, Said)>,
    left_out: usize,
}

impl Warnings {
    /// Something in a bar.
    pub(crate) fn in_bar(&mut self, bar: usize, reason: Said) {
        self.add(Some(bar), reason);
    }

    /// Something about the score as a whole.
    pub(crate) fn in_score(&mut self, reason: Said) {
        self.add(None, reason);
    }

    fn add(&mut self, bar: Option<usize>, reason: Said) {
        if self.gathered.len() >= MOST {
            self.left_out += 1;
        } else if self.seen.insert((bar, reason.clone())) {
            self.gathered.push(Warning { bar: bar.map(BarIndex::new), reason });
        }
    }

    /// All of them: those of the whole score first, then by bar.
    pub(crate) fn finish(mut self) -> Vec<Warning> {
        self.gathered.sort_by_key(|warning| warning.bar);
        if self.left_out > 0 {
            let reason = said!("{more} more things were read differently from how they stand", more = self.left_out);
            self.gathered.push(Warning { bar: None, reason });
        }
        self.gathered
    }
}
