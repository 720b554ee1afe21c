//! Random numbers that come out the same for the same seed.

/// SplitMix64 (Steele, Lea & Flood 2014), written down from its published constants.
pub struct Random(u64);

impl Random {
    pub fn seeded(seed: u64) -> Random {
        Random(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// Even between 0 and 1.
    pub fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Even between two values.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// One of so many.
    pub fn below(&mut self, count: usize) -> usize {
        ((self.share() * count as f64) as usize).min(count - 1)
    }

    /// Normally distributed about 0 (Box & Muller 1958).
    pub fn normal(&mut self, deviation: f64) -> f64 {
        let radius = (-2.0 * (1.0 - self.share()).ln()).sqrt();
        deviation * radius * (std::f64::consts::TAU * self.share()).cos()
    }
}
