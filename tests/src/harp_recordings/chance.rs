//! A fixed row of numbers that look drawn by chance.

/// A row of numbers that its seed alone decides (splitmix64, Steele, Lea and Flood 2014).
#[derive(Clone, Debug)]
pub struct Chance(u64);

impl Chance {
    /// The row of a seed.
    pub fn seeded(seed: u64) -> Chance {
        Chance(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15))
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number from 0 up to 1.
    pub fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A whole number below a bound above 0.
    pub fn below(&mut self, bound: usize) -> usize {
        (self.share() * bound as f64) as usize
    }

    /// A number between two others.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// A normally distributed number about 0 (Box and Muller), no further out than three deviations.
    pub fn normal(&mut self, deviation: f64) -> f64 {
        let radius = (-2.0 * (1.0 - self.share()).ln()).sqrt();
        (radius * (std::f64::consts::TAU * self.share()).cos()).clamp(-3.0, 3.0) * deviation
    }
}
