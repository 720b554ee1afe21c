//! Beats within a bar, how strong each place is, and where a flip may fall.

use super::{Counting, Meter};
use crate::time::Ticks;

/// How strong a place in the bar is, strongest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Strength {
    /// The first beat of a full bar.
    Downbeat,
    /// Half-way through an even bar of four or more beats, or the start of a later group of an additive meter.
    Strong,
    /// Any other counted beat.
    Beat,
    /// Half-way between two beats.
    Half,
    /// A third or two thirds of the way between two beats.
    Third,
    /// Anywhere else.
    Between,
}

/// A place in a bar as a player counts it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BarPlace {
    /// The counted beat, from 1.
    pub beat: u32,
    /// How far into the beat: 0 on it, 0.5 half-way; always below 1.
    pub fraction: f64,
}

impl BarPlace {
    /// The place so far into a full bar of the meter. Places past its last beat are counted on in the last beat's
    /// length, so that an overlong bar can still be named.
    pub fn at(offset: Ticks, meter: &Meter, counting: Counting) -> BarPlace {
        let mut beat = 1;
        let mut rest = offset.max(Ticks::ZERO);
        let beats = meter.beats(counting);
        let mut lengths = beats.iter().copied().chain(std::iter::repeat(beats[beats.len() - 1]));
        loop {
            let Some(length) = lengths.next() else { return BarPlace { beat, fraction: 0.0 } };
            if rest < length {
                return BarPlace { beat, fraction: rest.quarters() / length.quarters() };
            }
            rest = rest - length;
            beat += 1;
        }
    }

    /// The beat with its fraction as one number: 2.5 is half-way between beats two and three.
    pub fn as_number(self) -> f64 {
        f64::from(self.beat) + self.fraction
    }
}

/// How strong a place is, measured from the start of a full bar of the meter.
pub fn strength(offset: Ticks, meter: &Meter) -> Strength {
    let beats = meter.beats(Counting::Beats);
    let mut start = Ticks::ZERO;
    for (index, &length) in beats.iter().enumerate() {
        let into = offset - start;
        if into < length {
            return match into {
                Ticks::ZERO if index == 0 => Strength::Downbeat,
                Ticks::ZERO if is_strong(index, beats.len(), meter) => Strength::Strong,
                Ticks::ZERO => Strength::Beat,
                _ if into * 2 == length => Strength::Half,
                _ if into * 3 == length || into * 3 == length * 2 => Strength::Third,
                _ => Strength::Between,
            };
        }
        start += length;
    }
    // Past the last beat of an overlong bar only whole quarters can be counted.
    if (offset - start).get() % Ticks::PER_QUARTER == 0 { Strength::Beat } else { Strength::Between }
}

fn is_strong(beat: usize, beats: usize, meter: &Meter) -> bool {
    meter.groups().len() > 1 && group_starts(meter).contains(&beat)
        || beats >= 4 && beats.is_multiple_of(2) && beat == beats / 2
}

/// The beats on which the later groups of an additive meter begin; each of its beats where the groups are the beats.
fn group_starts(meter: &Meter) -> Vec<usize> {
    if meter.unit() >= 8 {
        return (1..meter.groups().len()).collect();
    }
    meter
        .groups()
        .iter()
        .scan(0, |beats, &group| {
            *beats += usize::from(group);
            Some(*beats)
        })
        .collect()
}

/// How a bar's notes divide its beats.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Divisions {
    halves: bool,
    thirds: bool,
}

/// Which divisions of the beat the onsets of a bar use. Onsets are measured from the start of a full bar. An onset at
/// an even division of a beat (halves, quarters …) uses halves; one at a division by three (thirds, sixths …) thirds.
pub fn divisions_used(onsets: impl IntoIterator<Item = Ticks>, meter: &Meter) -> Divisions {
    let mut used = Divisions::default();
    let beats = meter.beats(Counting::Beats);
    for onset in onsets {
        let mut into = onset;
        for &length in &beats {
            if into < length {
                if into > Ticks::ZERO {
                    let parts = parts_of_beat(into, length);
                    used.halves |= parts % 2 == 0;
                    used.thirds |= parts % 3 == 0;
                }
                break;
            }
            into = into - length;
        }
    }
    used
}

/// Into how many equal parts the beat must be cut for a cut to fall at `into`.
fn parts_of_beat(into: Ticks, length: Ticks) -> i64 {
    let (mut a, mut b) = (into.get(), length.get());
    while b != 0 {
        (a, b) = (b, a % b);
    }
    length.get() / a.max(1)
}

/// The places of one bar where a flip may be made: its beats, and their halves and thirds as far as the bar's notes
/// use them. Measured from where the bar itself begins.
///
/// `anacrusis` is how much of a full bar is missing before this one, `length` how long this one lasts. Where plucks
/// follow each other with no such place between them, the planner adds the midpoint of the two (see `plan`).
pub fn flip_places(meter: &Meter, anacrusis: Ticks, length: Ticks, used: Divisions) -> Vec<Ticks> {
    let beats = meter.beats(Counting::Beats);
    let last = beats[beats.len() - 1];
    let mut places = Vec::new();
    let mut start = Ticks::ZERO;
    let lengths = beats.into_iter().chain(std::iter::repeat(last));
    for beat in lengths {
        if start - anacrusis >= length {
            break;
        }
        places.push(start);
        if used.halves && beat.get() % 2 == 0 {
            places.push(start + Ticks::new(beat.get() / 2));
        }
        if used.thirds && beat.get() % 3 == 0 {
            places.push(start + Ticks::new(beat.get() / 3));
            places.push(start + Ticks::new(beat.get() / 3 * 2));
        }
        start += beat;
    }
    places.sort();
    places.into_iter().map(|place| place - anacrusis).filter(|&place| place >= Ticks::ZERO && place < length).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn meter(groups: &[u8], unit: u32) -> Meter {
        Meter::new(groups, unit).unwrap()
    }

    fn quarters(numerator: i64, denominator: i64) -> Ticks {
        Ticks::from_quarters(numerator, denominator).unwrap()
    }

    /// Common practice: in 4/4 the first beat is strongest, then the third; 6/8 has two beats of three eighths.
    #[test]
    fn strengths() {
        let four = meter(&[4], 4);
        let found: Vec<_> = (0..8).map(|eighth| strength(quarters(eighth, 2), &four)).collect();
        use Strength::*;
        assert_eq!(found, [Downbeat, Half, Beat, Half, Strong, Half, Beat, Half]);
        let six = meter(&[6], 8);
        let found: Vec<_> = (0..6).map(|eighth| strength(quarters(eighth, 2), &six)).collect();
        assert_eq!(found, [Downbeat, Third, Third, Beat, Third, Third]);
        let five = meter(&[3, 2], 8);
        assert_eq!(strength(quarters(3, 2), &five), Strong);
        assert_eq!(strength(quarters(1, 4), &four), Between);
    }

    #[test]
    fn places_follow_the_notes() {
        let four = meter(&[4], 4);
        let plain = divisions_used([Ticks::ZERO, quarters(1, 1)], &four);
        assert_eq!(flip_places(&four, Ticks::ZERO, quarters(4, 1), plain).len(), 4);
        let halves = divisions_used([quarters(5, 2), quarters(1, 4)], &four);
        assert_eq!(flip_places(&four, Ticks::ZERO, quarters(4, 1), halves).len(), 8);
        let thirds = divisions_used([quarters(1, 3)], &four);
        assert_eq!(flip_places(&four, Ticks::ZERO, quarters(4, 1), thirds).len(), 12);
        let six = meter(&[6], 8);
        let eighths = divisions_used([quarters(1, 2)], &six);
        assert_eq!(flip_places(&six, Ticks::ZERO, quarters(3, 1), eighths).len(), 6);
    }

    #[test]
    fn a_pickup_is_counted_from_the_end_of_its_bar() {
        let four = meter(&[4], 4);
        let places = flip_places(&four, quarters(3, 1), quarters(1, 1), Divisions::default());
        assert_eq!(places, [Ticks::ZERO]);
        assert_eq!(BarPlace::at(quarters(3, 1), &four, Counting::Beats).as_number(), 4.0);
        assert_eq!(BarPlace::at(quarters(5, 2), &four, Counting::Beats).as_number(), 3.5);
    }
}
