//! The sound of the last moments, and of longer stretches.

use crate::clock::SampleIndex;

/// Sound that can be looked into.
pub(crate) trait Sound {
    /// Copies the samples from a place on. What is not there is silence.
    fn copy(&self, from: i64, into: &mut [f32]);
}

/// A stretch of sound kept whole.
#[derive(Clone, Copy, Debug)]
pub struct Excerpt<'a> {
    /// Where its first sample stands in the count.
    pub starts: SampleIndex,
    /// Its samples, full scale being −1 to 1.
    pub samples: &'a [f32],
}

impl Sound for Excerpt<'_> {
    fn copy(&self, from: i64, into: &mut [f32]) {
        let from = from - self.starts.get() as i64;
        for (place, sample) in (from..).zip(into) {
            let found = usize::try_from(place).ok().and_then(|place| self.samples.get(place));
            *sample = found.copied().filter(|sample| sample.is_finite()).unwrap_or(0.0);
        }
    }
}

/// The most recent samples, by their place in the count. Room is made once.
#[derive(Debug)]
pub(crate) struct Recent {
    ring: Box<[f32]>,
    /// How many samples have come in.
    count: u64,
}

impl Recent {
    /// Room for so many samples at least.
    pub(crate) fn with_room_for(samples: usize) -> Recent {
        Recent { ring: vec![0.0; samples.next_power_of_two()].into(), count: 0 }
    }

    pub(crate) fn push(&mut self, sample: f32) {
        let mask = self.ring.len() as u64 - 1;
        self.ring[(self.count & mask) as usize] = sample;
        self.count += 1;
    }

    /// How many samples have come in.
    pub(crate) fn count(&self) -> u64 {
        self.count
    }
}

impl Sound for Recent {
    /// What came before the first sample, is no longer kept or has not come yet is silence.
    fn copy(&self, from: i64, into: &mut [f32]) {
        let (mask, count) = (self.ring.len() as u64 - 1, self.count as i64);
        let oldest = (count - self.ring.len() as i64).max(0);
        for (place, sample) in (from..).zip(into) {
            *sample = if place >= oldest && place < count { self.ring[(place as u64 & mask) as usize] } else { 0.0 };
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_kept_is_found_by_its_place_and_everything_else_is_silence() {
        let mut recent = Recent::with_room_for(4);
        for sample in 1..=6 {
            recent.push(sample as f32);
        }
        let mut copied = [9.0; 8];
        recent.copy(0, &mut copied);
        assert_eq!(copied, [0.0, 0.0, 3.0, 4.0, 5.0, 6.0, 0.0, 0.0]);
        recent.copy(-2, &mut copied[..2]);
        assert_eq!(copied[..2], [0.0, 0.0]);
        assert_eq!(recent.count(), 6);
    }
}
