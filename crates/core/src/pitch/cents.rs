//! Small intervals.

/// An interval in cents, a hundred to the equal-tempered semitone; positive is upwards.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Cents(f64);

impl Cents {
    /// What a well-regulated lever raises its string by.
    pub const SEMITONE: Cents = Cents(100.0);

    /// So many cents.
    pub const fn new(cents: f64) -> Self {
        Cents(cents)
    }

    /// The number of cents.
    pub const fn get(self) -> f64 {
        self.0
    }
}
