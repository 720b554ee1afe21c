//! Counting samples: the only place where times become sample indices.

use leverlane_core::time::Seconds;

/// How many samples a second each channel has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct SampleRate(u32);

impl SampleRate {
    /// The slowest rate rendered.
    pub const SLOWEST: u32 = 8_000;
    /// The fastest rate rendered.
    pub const FASTEST: u32 = 768_000;
    /// 48,000 a second, what most devices run at.
    pub const USUAL: SampleRate = SampleRate(48_000);

    /// A rate, or `None` outside 8,000 to 768,000 a second.
    pub const fn new(per_second: u32) -> Option<SampleRate> {
        if per_second >= Self::SLOWEST && per_second <= Self::FASTEST { Some(SampleRate(per_second)) } else { None }
    }

    /// Samples a second.
    pub const fn get(self) -> u32 {
        self.0
    }

    /// So much time in samples, not rounded.
    pub(crate) fn samples_in(self, time: Seconds) -> SamplePoint {
        SamplePoint(time.get() * f64::from(self.0))
    }

    /// How long so many samples last.
    pub(crate) fn seconds_of(self, samples: SamplePoint) -> Seconds {
        Seconds::new(samples.0 / f64::from(self.0))
    }
}

/// One sample of every channel, counted from the first the renderer made.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SampleIndex(u64);

impl SampleIndex {
    /// The first sample.
    pub const FIRST: SampleIndex = SampleIndex(0);

    /// The sample at a place in the count, from 0.
    pub const fn new(index: u64) -> SampleIndex {
        SampleIndex(index)
    }

    /// The place in the count, from 0.
    pub const fn get(self) -> u64 {
        self.0
    }

    pub(crate) fn after(self, samples: usize) -> SampleIndex {
        SampleIndex(self.0 + samples as u64)
    }

    /// How many samples come before `later`; none if it is past.
    pub(crate) fn until(self, later: SampleIndex) -> u64 {
        later.0.saturating_sub(self.0)
    }
}

/// A place in the count, or a length, in samples and not rounded: what all sums are made in.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub(crate) struct SamplePoint(f64);

/// A place this near to half-way between two samples counts as half-way, and goes to the later one. A tempo such as
/// 57.6 has no exact binary number, so what is half-way on paper may miss it by a millionth of this.
const HALF_WAY_TOLERANCE: f64 = 1e-6;

impl SamplePoint {
    pub(crate) const ZERO: SamplePoint = SamplePoint(0.0);

    pub(crate) fn of(index: SampleIndex) -> SamplePoint {
        SamplePoint(index.0 as f64)
    }

    pub(crate) fn plus(self, length: SamplePoint) -> SamplePoint {
        SamplePoint(self.0 + length.0)
    }

    pub(crate) fn minus(self, other: SamplePoint) -> SamplePoint {
        SamplePoint(self.0 - other.0)
    }

    /// So many times the length.
    pub(crate) fn times(self, count: u64) -> SamplePoint {
        SamplePoint(self.0 * count as f64)
    }

    /// How many whole lengths fit.
    pub(crate) fn whole(self, length: SamplePoint) -> u64 {
        // A quotient below zero or not finite becomes 0 or the largest number, as `as` does.
        (self.0 / length.0).floor() as u64
    }

    pub(crate) fn total_cmp(self, other: SamplePoint) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }

    pub(crate) fn at_least(self, least: SamplePoint) -> SamplePoint {
        SamplePoint(self.0.max(least.0))
    }

    /// The nearest sample; the single rounding that a time undergoes. Before the first sample it is the first.
    ///
    /// Doubles hold a count of samples to within 10⁻⁷ for six hours at 192 kHz, so the result is that of exact
    /// arithmetic.
    pub(crate) fn nearest(self) -> SampleIndex {
        SampleIndex((self.0 + 0.5 + HALF_WAY_TOLERANCE).floor().max(0.0) as u64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Arithmetic: half-way goes up, and so does what a decimal tempo leaves just below half-way.
    #[test]
    fn a_point_goes_to_its_nearest_sample() {
        for (point, index) in [(0.0, 0), (0.4, 0), (0.5, 1), (1.499, 1), (2.499_999_9, 3), (-3.0, 0)] {
            assert_eq!(SamplePoint(point).nearest(), SampleIndex(index), "{point}");
        }
        let point = SampleRate::USUAL.samples_in(Seconds::new(1.5));
        assert_eq!(point.nearest(), SampleIndex(72_000));
        assert_eq!(SampleRate::USUAL.seconds_of(point), Seconds::new(1.5));
    }

    #[test]
    fn rates_have_bounds() {
        assert_eq!(SampleRate::new(7_999), None);
        assert_eq!(SampleRate::new(768_001), None);
        assert_eq!(SampleRate::new(44_100).map(SampleRate::get), Some(44_100));
    }
}
