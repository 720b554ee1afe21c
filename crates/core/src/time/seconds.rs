//! Clock time.

use std::ops::{Add, Mul, Sub};

/// A length of clock time, or an instant counted from the start of playing. Unit: seconds.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Seconds(f64);

impl Seconds {
    /// No time.
    pub const ZERO: Seconds = Seconds(0.0);

    /// So many seconds.
    pub const fn new(seconds: f64) -> Self {
        Seconds(seconds)
    }

    /// The number of seconds.
    pub const fn get(self) -> f64 {
        self.0
    }
}

impl Add for Seconds {
    type Output = Seconds;
    fn add(self, other: Seconds) -> Seconds {
        Seconds(self.0 + other.0)
    }
}

impl Sub for Seconds {
    type Output = Seconds;
    fn sub(self, other: Seconds) -> Seconds {
        Seconds(self.0 - other.0)
    }
}

impl Mul<f64> for Seconds {
    type Output = Seconds;
    fn mul(self, factor: f64) -> Seconds {
        Seconds(self.0 * factor)
    }
}
