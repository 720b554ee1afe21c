//! How long hand movements take.

use std::fmt;
use std::str::FromStr;

use crate::harp::Millimetres;
use crate::time::Seconds;

/// How fast a player's hands are away from the strings.
///
/// Starting values are common practice set by us, with no published measurement behind them: 0.7 s out and flip, 0.5 s
/// back and placed over the nominal reach of 350 mm, 0.15 s for a further neighbouring lever in the same motion, 0.4 s
/// from one lever to a distant one. A player's own measured pace replaces them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HandPace {
    factor: f64,
}

/// A player's level, as a starting point for her pace.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PaceLevel {
    /// First months: 1.75 times the nominal times (common practice: 1.5 to 2).
    Beginner,
    /// Flips known, not yet easy: 1.3 times.
    Improver,
    /// The nominal times.
    #[default]
    Fluent,
    /// 0.8 times.
    Expert,
}

/// A text that names no level.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "\"{found}\" is no pace: expected beginner, improver, fluent, expert, or the player's own as 0.5 to 3 times fluent"
)]
pub struct UnknownPace {
    /// What was given.
    pub found: String,
}

impl PaceLevel {
    /// Slowest first.
    pub const ALL: [PaceLevel; 4] = [PaceLevel::Beginner, PaceLevel::Improver, PaceLevel::Fluent, PaceLevel::Expert];

    const fn factor(self) -> f64 {
        match self {
            PaceLevel::Beginner => 1.75,
            PaceLevel::Improver => 1.3,
            PaceLevel::Fluent => 1.0,
            PaceLevel::Expert => 0.8,
        }
    }
}

impl fmt::Display for PaceLevel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            PaceLevel::Beginner => "beginner",
            PaceLevel::Improver => "improver",
            PaceLevel::Fluent => "fluent",
            PaceLevel::Expert => "expert",
        })
    }
}

impl FromStr for PaceLevel {
    type Err = UnknownPace;

    fn from_str(text: &str) -> Result<PaceLevel, UnknownPace> {
        PaceLevel::ALL
            .into_iter()
            .find(|level| level.to_string() == text)
            .ok_or_else(|| UnknownPace { found: text.to_owned() })
    }
}

impl From<PaceLevel> for HandPace {
    fn from(level: PaceLevel) -> HandPace {
        HandPace { factor: level.factor() }
    }
}

/// The reach that the nominal times are said for.
const NOMINAL_REACH_MM: f64 = 350.0;
/// The width of the lever as a target.
const LEVER_WIDTH_MM: f64 = 13.0;
/// A reach of no difficulty still takes this share of the nominal one: assumed, so that Fitts' law gives 0.5 s at the
/// nominal reach and 0.07 s at none.
const REACH_FLOOR: f64 = 0.14;

impl HandPace {
    /// So many times the nominal times.
    pub(super) const fn times_nominal(factor: f64) -> HandPace {
        HandPace { factor }
    }

    /// The multiple of the nominal times.
    pub(super) const fn factor(self) -> f64 {
        self.factor
    }

    /// From the last pluck to the lever moved: the reach, and 0.2 s for the flip itself.
    pub fn out(self, reach: Millimetres) -> Seconds {
        Seconds::new(self.factor * (0.2 + 0.5 * relative_reach(reach)))
    }

    /// From the lever moved to the fingers placed for the next pluck. The way back is quicker, since it lands on
    /// strings that the fingers feel: 0.35 s of reach and 0.15 s to place.
    pub fn back(self, reach: Millimetres) -> Seconds {
        Seconds::new(self.factor * (0.15 + 0.35 * relative_reach(reach)))
    }

    /// What each neighbouring lever beyond the first adds to one motion.
    pub fn further_lever(self) -> Seconds {
        Seconds::new(self.factor * 0.15)
    }

    /// From one lever moved to a distant one moved, without going back to the strings.
    pub fn lever_to_lever(self) -> Seconds {
        Seconds::new(self.factor * 0.4)
    }
}

/// The time of a reach as a share of the nominal reach's, by Fitts' law (Fitts 1954, J. Exp. Psychol. 47(6)): the time
/// grows with log2(2 · distance / width).
fn relative_reach(reach: Millimetres) -> f64 {
    let difficulty = |mm: f64| (2.0 * mm / LEVER_WIDTH_MM).log2().max(0.0);
    REACH_FLOOR + (1.0 - REACH_FLOOR) * difficulty(reach.get()) / difficulty(NOMINAL_REACH_MM)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The starting values (common practice): 0.7 s and 0.5 s at 35 cm, beginners 1.5 to 2 times that.
    #[test]
    fn nominal_times() {
        let nominal = Millimetres::new(350.0);
        let fluent = HandPace::from(PaceLevel::Fluent);
        assert!((fluent.out(nominal).get() - 0.7).abs() < 1e-12);
        assert!((fluent.back(nominal).get() - 0.5).abs() < 1e-12);
        let beginner = HandPace::from(PaceLevel::Beginner).out(nominal).get() / 0.7;
        assert!((1.5..=2.0).contains(&beginner));
        assert!(fluent.out(Millimetres::new(700.0)) > fluent.out(nominal));
        assert!(fluent.out(Millimetres::new(0.0)).get() > 0.2);
    }
}
