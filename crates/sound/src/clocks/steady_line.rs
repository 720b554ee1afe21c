//! A robust line through values that should change slowly, and what is told when they don't.

use std::collections::VecDeque;

use leverlane_core::time::Seconds;

/// How far a clock is from another: 20 parts per million are 1.2 ms a minute.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct PartsPerMillion(f64);

impl PartsPerMillion {
    /// A rate of change, in seconds a second.
    pub(crate) fn of_slope(slope: f64) -> PartsPerMillion {
        PartsPerMillion(slope * 1e6)
    }

    /// The number of parts.
    pub const fn get(self) -> f64 {
        self.0
    }
}

/// Something that should be steady, and isn't.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Unsteadiness {
    /// It changed by so much at once, and stays there.
    Jumped(Seconds),
    /// It comes and goes by so much (the spread, as a standard deviation).
    Wanders(Seconds),
}

/// Values remembered.
const REMEMBERED: usize = 120;
/// A slope is told only once it is known to so many seconds a second, from values that span so many seconds.
const TOLD_FROM: (f64, f64) = (15e-6, 8.0);
/// How steep a line may be expected to be before anything is known (seconds a second): most crystals lie within.
const EXPECTED: f64 = 150e-6;
/// Not even a device that says 48,000 and runs at 44,100 is further off; a steeper line is no line.
const STEEPEST: f64 = 0.2;
/// A jump is at least this many times the spread.
const JUMP: f64 = 6.0;
/// So many values in a row must agree before a jump is believed.
const AGREEING: usize = 3;
/// With fewer values the line itself is not sure enough to jump away from.
const ENOUGH: usize = 8;
/// Values with a spread above the first wander, until it is below the second (seconds). Both are far above what
/// callbacks and air do, and the first is about where a listener's own unevenness begins to drown.
const WANDERS: (f64, f64) = (0.004, 0.0025);

/// The line, as offset at `middle` and slope.
#[derive(Clone, Copy, Debug)]
struct Fit {
    middle: f64,
    offset: f64,
    slope: f64,
    spread: f64,
    /// How well the slope is known, as a standard deviation.
    slope_error: f64,
}

/// Values of one kind err alike: each kind lies beside the line by something of its own, and only changes within a kind
/// tell of the slope.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Kind(pub u8);

#[derive(Clone, Copy, Debug)]
struct Value {
    kind: Kind,
    time: f64,
    value: f64,
}

/// Watches a value over time. Its memory doesn't grow.
#[derive(Clone, Debug)]
pub(crate) struct SteadyLine {
    /// A jump is at least so many seconds.
    least_jump: f64,
    values: VecDeque<Value>,
    fit: Option<Fit>,
    /// The slope from before a jump: a crystal keeps its rate.
    kept_slope: Option<f64>,
    /// Values that don't agree with the line, latest last.
    astray: Vec<(f64, f64)>,
    wanders: Option<f64>,
}

impl SteadyLine {
    /// A line on which steps from so many seconds on are jumps.
    pub(crate) fn with_jumps_from(least_jump: Seconds) -> SteadyLine {
        SteadyLine {
            least_jump: least_jump.get(),
            values: VecDeque::with_capacity(REMEMBERED + 1),
            fit: None,
            kept_slope: None,
            astray: Vec::with_capacity(AGREEING),
            wanders: None,
        }
    }

    /// Takes a value at a time, both in seconds. Times go up.
    pub(crate) fn note(&mut self, time: f64, value: f64) -> Option<Unsteadiness> {
        self.note_of(Kind::default(), time, value)
    }

    /// The same of a value of a kind.
    pub(crate) fn note_of(&mut self, kind: Kind, time: f64, value: f64) -> Option<Unsteadiness> {
        let jumped = self.note_astray(kind, time, value);
        self.values.push_back(Value { kind, time, value });
        if self.values.len() > REMEMBERED {
            self.values.pop_front();
        }
        self.fit();
        jumped.or_else(|| self.note_wandering())
    }

    /// A jump, once enough values agree on it; the line then begins anew with these.
    fn note_astray(&mut self, kind: Kind, time: f64, value: f64) -> Option<Unsteadiness> {
        let fit = self.fit.filter(|_| self.values.len() >= ENOUGH)?;
        let off = value - self.at_of(kind, time)?;
        let least = self.least_jump.max(JUMP * fit.spread);
        if off.abs() < least {
            self.astray.clear();
            return None;
        }
        let agrees = |&(_, other): &(f64, f64)| (other - off).abs() < least / 2.0;
        if !self.astray.iter().all(agrees) {
            self.astray.clear();
        }
        self.astray.push((time, off));
        if self.astray.len() < AGREEING {
            return None;
        }
        let mut offs: Vec<f64> = self.astray.drain(..).map(|(_, off)| off).collect();
        let by = median(&mut offs);
        self.kept_slope = self.believed_slope().or(self.kept_slope);
        let kept = self.values.len().saturating_sub(AGREEING - 1);
        self.values.drain(..kept);
        Some(Unsteadiness::Jumped(Seconds::new(by)))
    }

    fn note_wandering(&mut self) -> Option<Unsteadiness> {
        let spread = self.fit?.spread;
        match self.wanders {
            None if self.values.len() >= ENOUGH && spread > WANDERS.0 => {
                self.wanders = Some(spread);
                Some(Unsteadiness::Wanders(Seconds::new(spread)))
            }
            Some(_) if spread < WANDERS.1 => {
                self.wanders = None;
                None
            }
            _ => None,
        }
    }

    /// Moves the whole line, where it is known by other means that all values change at once.
    pub(crate) fn shift(&mut self, by: Seconds) {
        for value in &mut self.values {
            value.value += by.get();
        }
        self.astray.clear();
        self.fit();
    }

    /// Takes it that the line has this slope, as long as its values say little.
    pub(crate) fn expect_slope(&mut self, slope: f64) {
        self.kept_slope = Some(slope);
    }

    /// The line of Theil and Sen: the median of all slopes, and the median of what remains. As long as the values say
    /// little about the slope it is drawn towards what is expected.
    fn fit(&mut self) {
        let (Some(first), Some(last)) = (self.values.front(), self.values.back()) else { return };
        let (span, count) = (last.time - first.time, self.values.len() as f64);
        let middle = (first.time + last.time) / 2.0;
        let expected = self.kept_slope.unwrap_or(0.0);
        let slope = self.median_slope().unwrap_or(expected).clamp(-STEEPEST, STEEPEST);
        let (_, spread) = self.offset_and_spread(middle, slope);
        // The error of a straight line's slope through evenly spaced values.
        let slope_error = if span > 0.0 { spread.max(2e-5) * (12.0 / count).sqrt() / span } else { f64::INFINITY };
        let trust = if self.values.len() < 4 { 0.0 } else { 1.0 / (1.0 + (slope_error / EXPECTED).powi(2)) };
        let slope = expected + trust * (slope - expected);
        let (offset, spread) = self.offset_and_spread(middle, slope);
        self.fit = Some(Fit { middle, offset, slope, spread, slope_error });
    }

    fn median_slope(&self) -> Option<f64> {
        let values = &self.values;
        let mut slopes: Vec<f64> = (0..values.len())
            .flat_map(|n| (n + 1..values.len()).map(move |m| (values[n], values[m])))
            .filter(|(a, b)| a.kind == b.kind && b.time - a.time > 1.0)
            .map(|(a, b)| (b.value - a.value) / (b.time - a.time))
            .collect();
        (!slopes.is_empty()).then(|| median(&mut slopes))
    }

    fn offset_and_spread(&self, middle: f64, slope: f64) -> (f64, f64) {
        let rests: Vec<(Kind, f64)> =
            self.values.iter().map(|value| (value.kind, value.value - slope * (value.time - middle))).collect();
        let of_kind = |kind: Kind| {
            let mut own: Vec<f64> = rests.iter().filter(|rest| rest.0 == kind).map(|rest| rest.1).collect();
            median(&mut own)
        };
        let mut centres: Vec<(Kind, f64)> = Vec::new();
        for &(kind, _) in &rests {
            if centres.iter().all(|centre| centre.0 != kind) {
                centres.push((kind, of_kind(kind)));
            }
        }
        let centre = |kind: Kind| centres.iter().find(|centre| centre.0 == kind).map_or(0.0, |centre| centre.1);
        let mut astray: Vec<f64> = rests.iter().map(|&(kind, rest)| (rest - centre(kind)).abs()).collect();
        let mut all: Vec<f64> = rests.iter().map(|rest| rest.1).collect();
        // The usual factor from the median deviation to a standard deviation.
        (median(&mut all), 1.4826 * median(&mut astray))
    }

    fn believed_slope(&self) -> Option<f64> {
        let fit = self.fit?;
        (self.span() >= TOLD_FROM.1 && fit.slope_error < TOLD_FROM.0).then_some(fit.slope)
    }

    /// The value of the line at a time.
    pub(crate) fn at(&self, time: f64) -> Option<f64> {
        Some(self.fit?.at(time))
    }

    /// The value of a kind at a time: as far beside the line as its values so far.
    pub(crate) fn at_of(&self, kind: Kind, time: f64) -> Option<f64> {
        let fit = self.fit?;
        let own = self.values.iter().filter(|value| value.kind == kind);
        let mut beside: Vec<f64> = own.map(|value| value.value - fit.at(value.time)).collect();
        Some(fit.at(time) + median(&mut beside))
    }

    /// How fast it changes; none before that is known.
    pub(crate) fn slope(&self) -> Option<f64> {
        self.believed_slope().or(self.kept_slope)
    }

    /// The slope as it is drawn, however little is known.
    pub(crate) fn drawn_slope(&self) -> Option<f64> {
        Some(self.fit?.slope)
    }

    /// Over how many seconds the values spread.
    pub(crate) fn span(&self) -> f64 {
        self.values.back().map_or(0.0, |last| last.time) - self.values.front().map_or(0.0, |first| first.time)
    }

    /// How far values stray from the line, as a standard deviation in seconds.
    pub(crate) fn spread(&self) -> Option<f64> {
        Some(self.fit?.spread)
    }

    /// How many values the line goes through.
    pub(crate) fn len(&self) -> usize {
        self.values.len()
    }

    /// Whether it was told to wander and still does.
    pub(crate) fn wanders(&self) -> Option<Seconds> {
        self.wanders?;
        Some(Seconds::new(self.fit?.spread))
    }
}

impl Fit {
    fn at(&self, time: f64) -> f64 {
        self.offset + self.slope * (time - self.middle)
    }
}

/// The middle value, or 0 of none. Sorts.
pub(crate) fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    match (values.len(), values.len() / 2) {
        (0, _) => 0.0,
        (length, half) if length % 2 == 1 => values[half],
        (_, half) => (values[half - 1] + values[half]) / 2.0,
    }
}
