//! The bars around a flip.

use crate::harp::Setting;
use crate::plan::{Gesture, Plan};
use crate::score::Performance;

/// How much music a chunk takes around its flip.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ChunkSize {
    /// The bar of the flip, and on to the first pluck of the flipped string.
    FlipBar,
    /// A bar more on either side.
    #[default]
    BarEachSide,
    /// Two bars more on either side.
    TwoBarsEachSide,
    /// Everything.
    WholePiece,
}

/// Some bars of a performance to be looped, with the lever setting they begin with and the reset at their seam.
#[derive(Clone, Debug, PartialEq)]
pub struct Chunk {
    /// The first bar, by its place in the performance.
    pub first: usize,
    /// The last bar, likewise, included.
    pub last: usize,
    /// Where the levers stand before the first note of every pass.
    pub start: Setting,
    /// The plan's gestures inside the chunk, by their place in the plan.
    pub gestures: std::ops::Range<usize>,
    /// The gestures that bring the levers back at the seam, timed from the chunk's last bar line; whole bars are added
    /// for them.
    pub resets: Vec<Gesture>,
    /// How many bars stand at the seam for the resets; none where nothing needs resetting.
    pub reset_bars: usize,
}

impl Chunk {
    /// The chunk around a gesture of the plan.
    pub fn around(gesture: usize, plan: &Plan, performance: &Performance, size: ChunkSize) -> Option<Chunk> {
        let _ = (gesture, plan, performance, size);
        None
    }
}
