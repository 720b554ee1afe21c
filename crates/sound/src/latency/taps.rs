//! The latency without a loop: the player taps or plucks along with the click.

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
/// Musicians tap early, by some 10–30 ms (from memory): its middle is taken off. By how much this player does, nobody knows,
/// so ten milliseconds either way stay in doubt whatever the taps say.
const EARLY: Seconds = Seconds::new(0.02);
/// Something with so many of the clicks that she only listens to is the click itself.
const CLICK_HEARD: usize = 3;

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
    /// Something was heard with the clicks before she was to tap.
    #[error(
        "something was heard with {heard} of the {listened} clicks that are only listened to: tap after them; or, where the microphone hears the click, measure with sweeps"
    )]
    ClickHeard {
        /// With how many.
        heard: usize,
        /// Of how many.
        listened: usize,
    },
}

/// The latency by taps that were heard while clicks were played: some that the player only `listened` to, then those with
/// which she `tapped`, each tap at most half a click's distance from its click. What musicians are usually early by is taken
/// off; what this one is earlier or later stays in it.
///
/// # Errors
/// Too few, too uneven, or the click itself is heard.
pub fn by_taps(
    listened: &[SampleIndex],
    tapped: &[SampleIndex],
    taps: &[HeardIndex],
    clocks: &TwoClocks,
) -> Result<Latency, TapsError> {
    let clicks = || listened.iter().chain(tapped).enumerate();
    let way_of = |tap: &HeardIndex| {
        let ways = clicks().filter_map(|(click, at)| Some((click, clocks.way(at.get() as f64, tap.get() as f64)?)));
        ways.min_by(|(_, a), (_, b)| (a - USUAL).abs().total_cmp(&(b - USUAL).abs()))
    };
    let found = taps.iter().filter_map(way_of);
    let (before, after): (Vec<_>, Vec<_>) = found.partition(|(click, _)| *click < listened.len());
    let mut with: Vec<usize> = before.into_iter().map(|(click, _)| click).collect();
    with.dedup();
    if with.len() >= CLICK_HEARD {
        return Err(TapsError::ClickHeard { heard: with.len(), listened: listened.len() });
    }
    let mut ways: Vec<f64> = after.into_iter().map(|(_, way)| way).collect();
    if ways.len() < ENOUGH {
        return Err(TapsError::TooFew { found: ways.len() });
    }
    let measured = of_ways(&mut ways, MeasuredBy::Taps);
    if measured.spread > UNEVEN {
        return Err(TapsError::Uneven { spread: measured.spread });
    }
    Ok(Latency { seconds: measured.seconds + EARLY, ..measured })
}
