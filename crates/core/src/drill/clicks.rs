//! Where a bar is clicked.

use super::TimelineOptions;
use crate::meter::{Counting, Meter};
use crate::time::Ticks;

/// How strong a click is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Accent {
    /// The first beat of a bar.
    Bar,
    /// A beat.
    Beat,
    /// Between beats.
    Division,
}

/// Whether clicks stand between the beats.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Division {
    /// Beats only.
    #[default]
    Undivided,
    /// Beats in the parts that are natural to them: a dotted beat in three, a group of an additive meter in its units,
    /// any other in two.
    Divided,
}

/// The clicks of one bar, from where it begins. `anacrusis` is how much of a full bar is missing before it. Beats past
/// a full bar are counted on in the last beat's length.
pub(super) fn clicks(meter: &Meter, anacrusis: Ticks, length: Ticks, options: TimelineOptions) -> Vec<(Ticks, Accent)> {
    let beats = meter.beats(options.counting);
    let Some(&last) = beats.last() else { return Vec::new() };
    let mut clicks = Vec::new();
    let mut starts = Ticks::ZERO;
    for beat in beats.into_iter().chain(std::iter::repeat(last)) {
        if starts - anacrusis >= length {
            break;
        }
        let parts = match options.division {
            Division::Undivided => 1,
            Division::Divided => natural_parts(meter, beat, options.counting),
        };
        clicks.extend((0..parts).map(|part| {
            let accent = match (part, starts) {
                (0, Ticks::ZERO) => Accent::Bar,
                (0, _) => Accent::Beat,
                _ => Accent::Division,
            };
            (starts + Ticks::new(beat.get() * part / parts) - anacrusis, accent)
        }));
        starts += beat;
    }
    clicks.retain(|&(at, _)| at >= Ticks::ZERO && at < length);
    clicks
}

/// Into how many parts a beat falls. All the lengths met here divide: a beat is a whole number of 64ths, of 6,930
/// ticks each.
fn natural_parts(meter: &Meter, beat: Ticks, counting: Counting) -> i64 {
    let units = beat.get() / meter.unit_length().get();
    match counting {
        Counting::Beats if units > 1 => units,
        _ => 2,
    }
}
