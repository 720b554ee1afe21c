//! A player's own pace, from the tempos that she has held.

use std::fmt;
use std::str::FromStr;

use super::{HandPace, PaceLevel, UnknownPace};

/// How fast the hands are that a piece is planned for: by level, or as measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pace {
    /// As is usual at a level.
    Level(PaceLevel),
    /// As this player's practice has shown.
    Measured(PaceFactor),
}

/// A multiple of the nominal times of [`HandPace`], 0.5 to 3, to the hundredth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct PaceFactor {
    hundredths: u16,
}

impl PaceFactor {
    const RANGE: (f64, f64) = (0.5, 3.0);

    /// The factor, if it lies within the range; it is rounded to the hundredth.
    pub fn new(factor: f64) -> Option<PaceFactor> {
        let (least, most) = PaceFactor::RANGE;
        (least..=most).contains(&factor).then(|| PaceFactor { hundredths: (factor * 100.0).round() as u16 })
    }

    /// The multiple itself.
    pub fn get(self) -> f64 {
        f64::from(self.hundredths) / 100.0
    }
}

/// What practice has shown of one gesture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TempoLimit {
    /// The top tempo that the plan gives the gesture, in quarter notes a minute.
    pub top: f64,
    /// The fastest tempo at which it was held with both hands, likewise, at the same place.
    pub held: f64,
    /// Whether the tempo that was worked for was held.
    pub goal: Goal,
}

/// Whether a tempo that was held is the fastest one that could be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Goal {
    /// The goal was held; faster was not tried.
    Reached,
    /// The goal was faster, and not held: here the hands came to their limit.
    NotReached,
}

/// So many gestures must tell of the hands before anything is said of them (set by us: one that is odd for another reason
/// than the hands doesn't move the median of three).
const FEWEST: usize = 3;

impl PaceFactor {
    /// The player's pace, by a plan that was made for hands of the pace `assumed`; none where practice tells too little.
    ///
    /// At the tempo that she held, the time there was is the time her hands need: `top / held` of what was assumed. Where
    /// she reached her goal they need that at most, so such a gesture counts only if it shows hands faster than the others
    /// do. The median is the pace. Method and numbers are set by us.
    pub fn measured(assumed: Pace, limits: &[TempoLimit]) -> Option<PaceFactor> {
        let assumed = HandPace::from(assumed).factor();
        let factors = |goal| {
            let of_goal = limits.iter().filter(move |limit| limit.goal == goal);
            let mut factors: Vec<f64> = of_goal.map(|limit| assumed * limit.top / limit.held).collect();
            factors.retain(|factor| factor.is_finite() && *factor > 0.0);
            factors.sort_by(f64::total_cmp);
            factors
        };
        let (mut factors, reached) = (factors(Goal::NotReached), factors(Goal::Reached));
        let bound = median(&factors).unwrap_or(assumed);
        factors.extend(reached.into_iter().filter(|factor| *factor < bound));
        factors.sort_by(f64::total_cmp);
        let (least, most) = PaceFactor::RANGE;
        median(&factors)
            .filter(|_| factors.len() >= FEWEST)
            .and_then(|factor| PaceFactor::new(factor.clamp(least, most)))
    }
}

/// The middle one of sorted numbers, or the mean of the two in the middle.
fn median(sorted: &[f64]) -> Option<f64> {
    let (lower, upper) = (sorted.get(sorted.len().checked_sub(1)? / 2)?, sorted.get(sorted.len() / 2)?);
    Some(f64::midpoint(*lower, *upper))
}

impl Pace {
    /// The level whose hands are nearest in pace: passes are judged by its thresholds.
    pub fn level(self) -> PaceLevel {
        match self {
            Pace::Level(level) => level,
            Pace::Measured(factor) => {
                let away = |level: PaceLevel| (HandPace::from(level).factor() / factor.get()).ln().abs();
                PaceLevel::ALL.into_iter().min_by(|a, b| away(*a).total_cmp(&away(*b))).unwrap_or_default()
            }
        }
    }
}

impl Default for Pace {
    fn default() -> Pace {
        Pace::Level(PaceLevel::default())
    }
}

impl From<PaceLevel> for Pace {
    fn from(level: PaceLevel) -> Pace {
        Pace::Level(level)
    }
}

impl From<Pace> for HandPace {
    fn from(pace: Pace) -> HandPace {
        match pace {
            Pace::Level(level) => level.into(),
            Pace::Measured(factor) => HandPace::times_nominal(factor.get()),
        }
    }
}

impl fmt::Display for Pace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Pace::Level(level) => level.fmt(f),
            Pace::Measured(factor) => write!(f, "{:.2}", factor.get()),
        }
    }
}

impl FromStr for Pace {
    type Err = UnknownPace;

    fn from_str(text: &str) -> Result<Pace, UnknownPace> {
        match text.parse().ok().and_then(PaceFactor::new) {
            Some(factor) => Ok(Pace::Measured(factor)),
            None => text.parse().map(Pace::Level),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn limit(top: f64, held: f64, goal: Goal) -> TempoLimit {
        TempoLimit { top, held, goal }
    }

    /// Hands that need 1.25 times the nominal times hold a gesture at four fifths of the top tempo of nominal hands.
    #[test]
    fn hands_are_as_slow_as_the_tempos_that_they_hold() {
        let limits = [100.0, 60.0, 132.0, 84.0].map(|top| limit(top, top * 0.8, Goal::NotReached));
        let measured = PaceFactor::measured(PaceLevel::Fluent.into(), &limits).unwrap();
        assert_eq!(measured.get(), 1.25);
        // The same practice against a plan for slower hands, whose top tempos are lower by as much.
        let slower = limits.map(|limit| TempoLimit { top: limit.top / 1.75, ..limit });
        assert_eq!(PaceFactor::measured(PaceLevel::Beginner.into(), &slower), Some(measured));
    }

    #[test]
    fn a_goal_that_was_reached_tells_only_of_faster_hands() {
        let limits = [
            limit(100.0, 100.0, Goal::NotReached),
            limit(100.0, 100.0, Goal::NotReached),
            limit(100.0, 20.0, Goal::Reached),
            limit(100.0, 25.0, Goal::Reached),
        ];
        assert_eq!(PaceFactor::measured(Pace::default(), &limits), None, "two of them tell nothing");
        let faster = [&limits[..], &[limit(100.0, 125.0, Goal::Reached)]].concat();
        assert_eq!(PaceFactor::measured(Pace::default(), &faster).unwrap().get(), 1.0);
        let only_reached = [110.0, 125.0, 160.0].map(|held| limit(100.0, held, Goal::Reached));
        assert_eq!(PaceFactor::measured(Pace::default(), &only_reached).unwrap().get(), 0.8);
    }

    #[test]
    fn a_pace_is_written_as_it_is_read() {
        for pace in [Pace::Measured(PaceFactor::new(1.25).unwrap()), PaceLevel::Improver.into()] {
            assert_eq!(pace.to_string().parse(), Ok(pace));
        }
        for wrong in ["0.4", "3.1", "NaN", "inf", "-1", "swift", ""] {
            assert!(wrong.parse::<Pace>().is_err(), "{wrong}");
        }
        assert_eq!("1.6".parse::<Pace>().unwrap().level(), PaceLevel::Beginner);
        assert_eq!("1.1".parse::<Pace>().unwrap().level(), PaceLevel::Fluent);
    }
}
