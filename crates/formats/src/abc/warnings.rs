//! Warnings gathered while a tune is read.

use std::collections::HashMap;

use leverlane_core::score::BarIndex;

use crate::{Said, Warning, said};

/// Reasons in the order in which they first came.
#[derive(Clone, Debug, Default)]
pub(super) struct Gathered {
    order: Vec<(Scope, Said)>,
    met: HashMap<(Scope, Said), Met>,
}

/// Whether a reason is told once for the tune or for every bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Scope {
    Tune,
    Bar(usize),
}

#[derive(Clone, Copy, Debug)]
struct Met {
    first_bar: Option<usize>,
    times: usize,
}

/// A file of nonsense should not fill the memory with complaints.
const MOST_REASONS: usize = 100;

impl Gathered {
    /// Something that is told once, with the first bar it concerns and how often it came.
    pub(super) fn add(&mut self, bar: Option<usize>, reason: Said) {
        self.gather(Scope::Tune, bar, reason);
    }

    /// Something that is told for every bar where it comes.
    pub(super) fn add_to_bar(&mut self, bar: usize, reason: Said) {
        self.gather(Scope::Bar(bar), Some(bar), reason);
    }

    fn gather(&mut self, scope: Scope, bar: Option<usize>, reason: Said) {
        let key = (scope, reason);
        if let Some(met) = self.met.get_mut(&key) {
            met.times += 1;
        } else if self.order.len() < MOST_REASONS {
            self.order.push(key.clone());
            self.met.insert(key, Met { first_bar: bar, times: 1 });
        } else if self.order.len() == MOST_REASONS {
            let key = (Scope::Tune, said!("more was read differently than is listed here"));
            self.order.push(key.clone());
            self.met.insert(key, Met { first_bar: None, times: 1 });
        }
    }

    /// The warnings in the order in which they first came. Bars beyond the last are the last one.
    pub(super) fn into_warnings(self, bars: usize) -> Vec<Warning> {
        let last = bars.saturating_sub(1);
        let warning = |key: (Scope, Said)| {
            let met = self.met.get(&key).copied().unwrap_or(Met { first_bar: None, times: 1 });
            let (_, reason) = key;
            let reason =
                if met.times > 1 { said!("{reason} ({times} times)", reason, times = met.times) } else { reason };
            Warning { bar: met.first_bar.map(|bar| BarIndex::new(bar.min(last))), reason }
        };
        self.order.iter().cloned().map(warning).collect()
    }
}
