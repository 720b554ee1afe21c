//! Counting the samples that come in.

use leverlane_core::time::Seconds;

/// How many samples a second are heard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct SampleRate(u32);

impl SampleRate {
    /// The slowest rate listened to; slower ones carry too little of a harp.
    pub const SLOWEST: u32 = 8_000;
    /// The fastest rate listened to.
    pub const FASTEST: u32 = 384_000;

    /// A rate, or `None` outside 8,000 to 384,000 a second.
    pub const fn new(per_second: u32) -> Option<SampleRate> {
        if per_second >= Self::SLOWEST && per_second <= Self::FASTEST { Some(SampleRate(per_second)) } else { None }
    }

    /// Samples a second.
    pub const fn get(self) -> u32 {
        self.0
    }

    /// So much time, to the nearest sample; none for a negative time.
    pub fn samples_in(self, time: Seconds) -> usize {
        (time.get() * f64::from(self.0)).round() as usize
    }

    /// The moment of a sample, counted from the first.
    pub fn time_of(self, index: SampleIndex) -> Seconds {
        Seconds::new(index.0 as f64 / f64::from(self.0))
    }

    /// The sample nearest to a moment; the first for a moment before it.
    pub fn index_at(self, moment: Seconds) -> SampleIndex {
        SampleIndex((moment.get() * f64::from(self.0)).round().max(0.0) as u64)
    }
}

/// One sample, counted from the first that was heard.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SampleIndex(u64);

impl SampleIndex {
    /// The sample at a place in the count, from 0.
    pub const fn new(index: u64) -> SampleIndex {
        SampleIndex(index)
    }

    /// The place in the count, from 0.
    pub const fn get(self) -> u64 {
        self.0
    }
}
