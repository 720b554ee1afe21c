//! What was read differently from how it stands in the file.

use std::fmt;

use leverlane_core::score::BarIndex;

use crate::Said;

/// Something in the file that was left out, guessed or bent. The score is usable all the same.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Warning {
    /// The bar it concerns; none for the whole score.
    pub bar: Option<BarIndex>,
    /// What happened, in a sentence.
    pub reason: Said,
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.bar {
            Some(bar) => write!(f, "bar index {}: {}", bar.get(), self.reason),
            None => f.write_str(&self.reason),
        }
    }
}
