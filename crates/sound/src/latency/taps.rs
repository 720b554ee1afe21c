//! The latency without a loop: the player claps or plucks along with the click.

use leverlane_core::time::Seconds;

use crate::SampleIndex;
use crate::capture::HeardIndex;
use crate::clocks::TwoClocks;
use crate::latency::measure::{Latency, MeasuredBy, of_ways};

/// Fewer taps than this say too little.
const ENOUGH: usize = 8;
/// A tap belongs to the click nearest to it after this much is taken off: devices are late, hands hardly ever.
const USUAL: f64 = 0.08;
/// Taps that spread more than this are no taps along with a click. Musicians' taps spread by some 15–25 ms (from memory).
const UNEVEN: Seconds = Seconds::new(0.05);

/// The taps don't tell the latency.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum TapsError {
    /// Too few.
    #[error("{found} taps were heard, expected at least {ENOUGH}: tap or pluck once with every click")]
    TooFew {
        /// How many there were.
        found: usize,
    },
    /// Too uneven.
    #[error("the taps strayed by {:.0} ms from the click, expected less than 50: listen for a while, then tap along", .spread.get() * 1_000.0)]
    Uneven {
        /// How far they strayed.
        spread: Seconds,
    },
}

/// The latency by taps that were heard while clicks were played, each at most half a click's distance from its click. It
/// contains how early or late the player taps.
///
/// # Errors
/// Too few, or too uneven.
pub fn by_taps(clicks: &[SampleIndex], taps: &[HeardIndex], clocks: &TwoClocks) -> Result<Latency, TapsError> {
    let ways_of = |tap: &HeardIndex| {
        let ways = clicks.iter().filter_map(|click| clocks.way(click.get() as f64, tap.get() as f64));
        ways.min_by(|a, b| (a - USUAL).abs().total_cmp(&(b - USUAL).abs()))
    };
    let mut ways: Vec<f64> = taps.iter().filter_map(ways_of).collect();
    if ways.len() < ENOUGH {
        return Err(TapsError::TooFew { found: ways.len() });
    }
    let latency = of_ways(&mut ways, MeasuredBy::Taps);
    if latency.spread > UNEVEN { Err(TapsError::Uneven { spread: latency.spread }) } else { Ok(latency) }
}
