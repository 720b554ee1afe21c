//! One device's count of samples against the machine's clock.

use std::time::{Duration, Instant};

use leverlane_core::time::Seconds;

use crate::clocks::steady_line::{PartsPerMillion, SteadyLine, Unsteadiness};
use crate::sample_clock::SampleRate;

/// Of all marks within so many seconds the least late one counts.
const SPAN: f64 = 0.5;
/// While a stream starts its buffers fill in bursts; marks of so many seconds tell nothing.
const STARTING: f64 = 1.0;

/// Sound servers deliver now earlier, now later by several milliseconds without losing anything; a device that runs out
/// of samples halts for longer than this.
const JUMP: Seconds = Seconds::new(0.02);

/// A moment at which a device's callback came, with the count of samples that had gone through by then.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ClockMark {
    /// Samples given to, or got from, the device up to and with this callback.
    pub count: u64,
    /// When it came.
    pub at: Instant,
}

/// Turns a device's count of samples into moments of the machine's clock and back. Its memory doesn't grow.
#[derive(Clone, Debug)]
pub struct DeviceClock {
    rate: SampleRate,
    origin: Option<ClockMark>,
    /// The least late mark of this span: when the span began, and the mark's nominal time and lag, in seconds.
    least_late: Option<(f64, f64, f64)>,
    lags: SteadyLine,
}

impl DeviceClock {
    /// The clock of a device that should run at this rate.
    pub fn new(rate: SampleRate) -> DeviceClock {
        DeviceClock { rate, origin: None, least_late: None, lags: SteadyLine::with_jumps_from(JUMP) }
    }

    /// The rate it should run at.
    pub fn rate(&self) -> SampleRate {
        self.rate
    }

    /// Takes a mark; marks come in order. Tells when the clock jumps or wanders.
    pub fn note(&mut self, mark: ClockMark) -> Option<Unsteadiness> {
        let origin = *self.origin.get_or_insert(mark);
        let nominal = self.nominal(mark.count);
        let lag = seconds_between(origin.at, mark.at) - nominal;
        if seconds_between(origin.at, mark.at) < STARTING {
            return None;
        }
        let (began, time, least) = *self.least_late.get_or_insert((nominal, nominal, lag));
        if nominal - began < SPAN {
            if lag <= least {
                self.least_late = Some((began, nominal, lag));
            }
            return None;
        }
        self.least_late = Some((nominal, nominal, lag));
        self.lags.note(time, least)
    }

    /// When the device's callback with this count came or will come, if it is not late. None in the first second and a
    /// half.
    pub fn moment_of(&self, count: f64) -> Option<Moment> {
        let nominal = self.nominal_of(count)?;
        Some(Moment { since: self.origin?.at, seconds: nominal + self.lags.at(nominal)? })
    }

    /// The count at a moment; the other way round from [`DeviceClock::moment_of`].
    pub fn count_at(&self, moment: Moment) -> Option<f64> {
        let origin = self.origin?;
        let seconds = moment.seconds + signed_between(origin.at, moment.since);
        // The lag changes by parts per million, so a second look is enough for far less than a sample.
        let mut nominal = seconds - self.lags.at(seconds)?;
        nominal = seconds - self.lags.at(nominal)?;
        Some(origin.count as f64 + nominal * f64::from(self.rate.get()))
    }

    /// How much faster it runs than it should, by the machine's clock; none before that is known, about nine seconds.
    pub fn drift(&self) -> Option<PartsPerMillion> {
        Some(PartsPerMillion::of_slope(-self.lags.slope()?))
    }

    /// Over how long its marks have been watched.
    pub(crate) fn watched(&self) -> Seconds {
        Seconds::new(self.lags.span())
    }

    /// How far its marks stray, as a standard deviation; none in the beginning.
    pub fn spread(&self) -> Option<Seconds> {
        self.lags.spread().map(Seconds::new)
    }

    fn nominal(&self, count: u64) -> f64 {
        self.nominal_of(count as f64).unwrap_or(0.0)
    }

    fn nominal_of(&self, count: f64) -> Option<f64> {
        Some((count - self.origin?.count as f64) / f64::from(self.rate.get()))
    }
}

/// A moment of the machine's clock, finer than [`Instant`] allows sums to be.
#[derive(Clone, Copy, Debug)]
pub struct Moment {
    since: Instant,
    seconds: f64,
}

impl Moment {
    /// So much later.
    pub fn after(self, seconds: Seconds) -> Moment {
        Moment { seconds: self.seconds + seconds.get(), ..self }
    }

    /// How long after `earlier` this is; negative where it is before.
    pub fn since(self, earlier: Moment) -> Seconds {
        Seconds::new(self.seconds - earlier.seconds + signed_between(earlier.since, self.since))
    }
}

fn seconds_between(earlier: Instant, later: Instant) -> f64 {
    later.saturating_duration_since(earlier).as_secs_f64()
}

fn signed_between(from: Instant, to: Instant) -> f64 {
    match to.checked_duration_since(from) {
        Some(after) => after.as_secs_f64(),
        None => -from.saturating_duration_since(to).max(Duration::ZERO).as_secs_f64(),
    }
}
