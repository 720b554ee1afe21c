//! Warnings gathered while a tune is read.

use std::collections::BTreeMap;

use leverlane_core::score::BarIndex;

use crate::Warning;

/// Each reason once, with the first bar it concerns and how often it came.
#[derive(Clone, Debug, Default)]
pub(super) struct Gathered {
    order: Vec<String>,
    met: BTreeMap<String, (Option<usize>, usize)>,
}

/// A file of nonsense should not fill the memory with complaints.
const MOST_REASONS: usize = 100;

impl Gathered {
    pub(super) fn add(&mut self, bar: Option<usize>, reason: impl Into<String>) {
        let reason = reason.into();
        if let Some((_, times)) = self.met.get_mut(&reason) {
            *times += 1;
        } else if self.order.len() < MOST_REASONS {
            self.order.push(reason.clone());
            self.met.insert(reason, (bar, 1));
        } else if self.order.len() == MOST_REASONS {
            let reason = "more was read differently than is listed here".to_owned();
            self.order.push(reason.clone());
            self.met.insert(reason, (None, 1));
        }
    }

    /// The warnings in the order in which they first came. Bars beyond the last are the last one.
    pub(super) fn into_warnings(self, bars: usize) -> Vec<Warning> {
        let last = bars.saturating_sub(1);
        let warning = |reason: String| {
            let (bar, times) = self.met.get(&reason).copied().unwrap_or((None, 1));
            let reason = if times > 1 { format!("{reason} ({times} times)") } else { reason };
            Warning { bar: bar.map(|bar| BarIndex::new(bar.min(last))), reason }
        };
        self.order.iter().cloned().map(warning).collect()
    }
}
