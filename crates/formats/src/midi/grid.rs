//! The file's meter, tempo and key events as bars.

use leverlane_core::meter::Meter;
use leverlane_core::pitch::Key;
use leverlane_core::score::{Bar, BarIndex, Navigation, TempoMark};
use leverlane_core::time::{Tempo, Ticks};

use super::BarSpan;
use super::read::{Recording, too_much};
use crate::{ImportError, Limits, Warning, said};

/// The bars of the piece and where each begins, from the start of the file.
///
/// A meter event always begins a bar; the one before it is then short where the event falls off the bar lines. Where
/// already the second meter event does, the piece begins with a pickup: the first bar is cut so that the bar lines
/// meet the event. Nothing else is taken as a sign of a pickup: rests before the first note are written rests, and
/// loudness is not looked at.
#[derive(Debug)]
pub(super) struct Grid {
    bars: Vec<Bar>,
    starts: Vec<Ticks>,
    end: Ticks,
    /// The bars reach at least this far: where the last meter event stands.
    marked_end: Ticks,
}

/// File ticks as score time: the nearest tick, and whether it is exact.
pub(super) fn score_ticks(file_ticks: u64, division: u16) -> (Ticks, bool) {
    let per_quarter = u64::from(division);
    let (quarters, scaled) = (file_ticks / per_quarter, (file_ticks % per_quarter) * Ticks::PER_QUARTER as u64);
    let nearest = (2 * scaled + per_quarter) / (2 * per_quarter);
    let whole = i64::try_from(quarters).ok().and_then(|quarters| quarters.checked_mul(Ticks::PER_QUARTER));
    // Grid::new has refused files so long that this could be cut off.
    let at = whole.map_or(i64::MAX / 4, |whole| whole.min(i64::MAX / 4) + nearest as i64);
    (Ticks::new(at), scaled % per_quarter == 0)
}

/// A meter with the moment from which it counts.
struct Segment {
    from: Ticks,
    meter: Meter,
}

impl Grid {
    /// Lays bars from the start of the file to the end of its last note.
    ///
    /// # Errors
    /// Where that takes more bars than the limits allow.
    pub(super) fn new(
        recording: &Recording,
        limits: &Limits,
        warnings: &mut Vec<Warning>,
    ) -> Result<Grid, ImportError> {
        let played = recording.streams.iter().flat_map(|stream| &stream.notes).map(|note| note.off.max(note.on)).max();
        let marked = recording.meters.last().map_or(0, |&(at, _)| at);
        let last = played.unwrap_or(0).max(marked);
        // A meter has at most 64 whole notes, so that more quarters than this need more bars than allowed.
        let most_quarters = u64::try_from(limits.bars).unwrap_or(u64::MAX).saturating_mul(256);
        if last / u64::from(recording.division) > most_quarters {
            return Err(too_long(limits));
        }
        let (end, _) = score_ticks(played.unwrap_or(0), recording.division);
        let segments = segments(recording, warnings);
        let mut grid = Grid { bars: Vec::new(), starts: Vec::new(), end: Ticks::ZERO, marked_end: Ticks::ZERO };
        for (index, segment) in segments.iter().enumerate() {
            let until = segments.get(index + 1).map(|next| next.from);
            if index == 0 {
                grid.lay_pickup(segment, until, warnings);
            }
            let until_here = until.unwrap_or(end);
            while grid.end < until_here {
                let cut = until.map_or(segment.meter.bar_length(), |next| next - grid.end);
                grid.lay_bar(&segment.meter, cut, warnings);
                if grid.bars.len() > limits.bars {
                    return Err(too_long(limits));
                }
            }
        }
        grid.marked_end = grid.end.min(score_ticks(marked, recording.division).0);
        if grid.bars.is_empty() {
            let meter = segments.first().map_or_else(Meter::common, |segment| segment.meter.clone());
            grid.lay_bar(&meter, meter.bar_length(), warnings);
        }
        Ok(grid)
    }

    fn lay_pickup(&mut self, first: &Segment, until: Option<Ticks>, warnings: &mut Vec<Warning>) {
        let full = first.meter.bar_length();
        let Some(until) = until else { return };
        let rest = Ticks::new(until.get() % full.get());
        if rest == Ticks::ZERO {
            return;
        }
        self.push(&first.meter, rest, full - rest);
        if until > full {
            warnings.push(Warning {
                bar: Some(BarIndex::new(0)),
                reason: said!(
                    "the second meter event falls {rest} quarters after a bar line counted from the start: the first \
                     bar was read as a pickup of {rest} quarters",
                    rest = rest.to_string()
                ),
            });
        }
    }

    fn lay_bar(&mut self, meter: &Meter, cut: Ticks, warnings: &mut Vec<Warning>) {
        let full = meter.bar_length();
        if cut < full {
            warnings.push(Warning {
                bar: Some(BarIndex::new(self.bars.len())),
                reason: said!(
                    "a meter event falls inside this bar of {meter}: it was cut short to {cut} quarters",
                    meter = meter.to_string(),
                    cut = cut.to_string()
                ),
            });
        }
        self.push(meter, cut.min(full), Ticks::ZERO);
    }

    fn push(&mut self, meter: &Meter, length: Ticks, anacrusis: Ticks) {
        let has_pickup = self.bars.first().is_some_and(|bar| bar.anacrusis > Ticks::ZERO) || anacrusis > Ticks::ZERO;
        self.starts.push(self.end);
        self.bars.push(Bar {
            number: (self.bars.len() + usize::from(!has_pickup)).to_string(),
            length,
            meter: meter.clone(),
            anacrusis,
            key: Key::NATURAL,
            tempo_marks: Vec::new(),
            navigation: Navigation::default(),
        });
        self.end += length;
    }

    /// Adds or takes away bars at the end, so that the last one is just reached by `end`.
    pub(super) fn fit_to(&mut self, end: Ticks) {
        while self.end < end {
            let Some(meter) = self.bars.last().map(|bar| bar.meter.clone()) else { return };
            self.push(&meter, meter.bar_length(), Ticks::ZERO);
        }
        let wanted = end.max(self.marked_end);
        while self.bars.len() > 1 && self.starts.last().is_some_and(|&start| start >= wanted) {
            self.bars.pop();
            self.end = self.starts.pop().unwrap_or(Ticks::ZERO);
        }
    }

    /// The bar that a moment falls in, and the moment from that bar's start; the last bar for anything after it.
    fn place(&self, at: Ticks) -> (BarIndex, Ticks) {
        let bar = self.starts.partition_point(|&start| start <= at).saturating_sub(1);
        (BarIndex::new(bar), at - self.starts[bar])
    }

    /// Where each bar begins and ends.
    pub(super) fn spans(&self) -> Vec<BarSpan> {
        let span = |(index, (start, bar)): (usize, (Ticks, &Bar))| BarSpan {
            bar: BarIndex::new(index),
            start,
            end: start + bar.length,
        };
        self.bars().enumerate().map(span).collect()
    }

    /// The bars with their starts.
    pub(super) fn bars(&self) -> impl Iterator<Item = (Ticks, &Bar)> {
        self.starts.iter().copied().zip(&self.bars)
    }

    /// When the last bar is over.
    pub(super) fn end(&self) -> Ticks {
        self.end
    }

    /// Writes the tempo and key events into the bars and gives the bars away.
    pub(super) fn into_bars(
        mut self,
        recording: &Recording,
        keys: &[(u64, Key)],
        warnings: &mut Vec<Warning>,
    ) -> Vec<Bar> {
        self.mark_tempos(recording, warnings);
        let mut keys: Vec<(Ticks, Key)> =
            keys.iter().map(|&(at, key)| (score_ticks(at, recording.division).0, key)).collect();
        keys.sort_by_key(|&(at, _)| at);
        for &(at, _) in keys.iter().filter(|&&(at, _)| at < self.end) {
            let (bar, offset) = self.place(at);
            if offset > Ticks::ZERO {
                let reason = said!(
                    "a key change {offset} quarters into this bar was read as one at the next bar line",
                    offset = offset.to_string()
                );
                warnings.push(Warning { bar: Some(bar), reason });
            }
        }
        for (bar, &start) in self.bars.iter_mut().zip(&self.starts) {
            let before = keys.partition_point(|&(at, _)| at <= start);
            bar.key = before.checked_sub(1).map_or(Key::NATURAL, |index| keys[index].1);
        }
        self.bars
    }

    fn mark_tempos(&mut self, recording: &Recording, warnings: &mut Vec<Warning>) {
        let mut events = recording.tempos.clone();
        if events.first().is_none_or(|&(at, _)| at > 0) {
            events.insert(0, (0, STANDARD_TEMPO));
        }
        let mut last = None;
        for (at, micros) in events {
            let (bar, offset) = self.place(score_ticks(at, recording.division).0);
            if offset >= self.bars[bar.get()].length || last == Some(micros) {
                continue;
            }
            match Tempo::quarters(quarters_per_minute(micros)) {
                Ok(tempo) => {
                    self.bars[bar.get()].tempo_marks.push(TempoMark { at: offset, tempo });
                    last = Some(micros);
                }
                Err(error) => {
                    let reason = said!(
                        "a tempo of {found} quarter notes a minute ({slowest} to {fastest} can be played) is not followed",
                        found = (error.found * 10.0).round() / 10.0,
                        slowest = Tempo::SLOWEST,
                        fastest = Tempo::FASTEST
                    );
                    warnings.push(Warning { bar: Some(bar), reason });
                }
            }
        }
    }
}

fn segments(recording: &Recording, warnings: &mut Vec<Warning>) -> Vec<Segment> {
    let mut segments: Vec<Segment> = Vec::new();
    for &(at, (above, below)) in &recording.meters {
        let from = score_ticks(at, recording.division).0;
        match Meter::new(&[above], 1u32.checked_shl(u32::from(below)).unwrap_or(0)) {
            Ok(meter) => segments.push(Segment { from, meter }),
            Err(_) => {
                let reason = said!(
                    "a meter of {above} over 2 to the power of {below}, which none can have: this change was left out",
                    above,
                    below
                );
                warnings.push(Warning { bar: None, reason });
            }
        }
    }
    if segments.first().is_none_or(|first| first.from > Ticks::ZERO) {
        warnings.push(Warning {
            bar: Some(BarIndex::new(0)),
            reason: said!("the file begins without a meter: read as 4/4, which the standard assumes"),
        });
        segments.insert(0, Segment { from: Ticks::ZERO, meter: Meter::common() });
    }
    segments
}

fn too_long(limits: &Limits) -> ImportError {
    too_much(
        said!("the end of the piece"),
        said!("more than {most} bars", most = limits.bars),
        said!("a piece of fewer bars"),
    )
}

/// What a file without a tempo event means (SMF 1.0): 120 quarter notes a minute.
pub(super) const STANDARD_TEMPO: u32 = 500_000;

/// Quarter notes a minute: of the numbers that round to the same whole count of microseconds, the one with the fewest
/// decimals, since that is what was written (667 ms is 90 a minute, not 89.955).
fn quarters_per_minute(micros: u32) -> f64 {
    let exact = 60e6 / f64::from(micros);
    [1.0, 10.0, 100.0, 1000.0]
        .into_iter()
        .map(|scale| (exact * scale).round() / scale)
        .find(|rounded| (60e6 / rounded).round() == f64::from(micros))
        .unwrap_or(exact)
}
