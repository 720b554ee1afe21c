//! Warnings gathered while a tune is read.

use std::collections::BTreeMap;

use leverlane_core::score::BarIndex;

use crate::Warning;

/// Reasons in the order in which they first came.
#[derive(Clone, Debug, Default)]
pub(super) struct Gathered {
    order: Vec<(Scope, String)>,
    met: BTreeMap<(Scope, String), Met>,
}

/// Whether a reason is told once for the tune or for every bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
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
    pub(super) fn add(&mut self, bar: Option<usize>, reason: impl Into<String>) {
        self.gather(Scope::Tune, bar, reason.into());
    }

    /// Something that is told for every bar where it comes.
    pub(super) fn add_to_bar(&mut self, bar: usize, reason: impl Into<String>) {
        self.gather(Scope::Bar(bar), Some(bar), reason.into());
    }

    fn gather(&mut self, scope: Scope, bar: Option<usize>, reason: String) {
        let key = (scope, reason);
        if let Some(met) = self.met.get_mut(&key) {
            met.times += 1;
        } else if self.order.len() < MOST_REASONS {
            self.order.push(key.clone());
            self.met.insert(key, Met { first_bar: bar, times: 1 });
        } else if self.order.len() == MOST_REASONS {
            let key = (Scope::Tune, "more was read differently than is listed here".to_owned());
            self.order.push(key.clone());
            self.met.insert(key, Met { first_bar: None, times: 1 });
        }
    }

    /// The warnings in the order in which they first came. Bars beyond the last are the last one.
    pub(super) fn into_warnings(self, bars: usize) -> Vec<Warning> {
        let last = bars.saturating_sub(1);
        let warning = |key: (Scope, String)| {
            let met = self.met.get(&key).copied().unwrap_or(Met { first_bar: None, times: 1 });
            let (_, reason) = key;
            let reason = if met.times > 1 { format!("{reason} ({} times)", met.times) } else { reason };
            Warning { bar: met.first_bar.map(|bar| BarIndex::new(bar.min(last))), reason }
        };
        self.order.iter().cloned().map(warning).collect()
    }
}
