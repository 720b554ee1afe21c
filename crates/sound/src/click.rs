//! The click.

use leverlane_core::drill::Accent;
use leverlane_core::time::Seconds;

use crate::one_shot::OneShots;
use crate::sample_clock::SampleRate;
use crate::tone::Tone;

/// The clicks, one of each strength.
///
/// A short burst that rises within half a millisecond and is gone after 30: sharp enough to be felt as a moment,
/// narrow enough in band not to crackle. The stronger the accent, the higher and louder.
pub(crate) fn clicks(rate: SampleRate) -> OneShots {
    OneShots::new([Accent::Bar, Accent::Beat, Accent::Division].map(|accent| click(accent, rate)).into())
}

/// Which of the clicks an accent is.
pub(crate) fn index_of(accent: Accent) -> usize {
    match accent {
        Accent::Bar => 0,
        Accent::Beat => 1,
        Accent::Division => 2,
    }
}

/// One click.
pub(crate) fn click(accent: Accent, rate: SampleRate) -> Box<[f32]> {
    let (hertz, amplitude) = match accent {
        Accent::Bar => (2_000.0, 0.5),
        Accent::Beat => (1_400.0, 0.35),
        Accent::Division => (1_000.0, 0.18),
    };
    let partials = [(hertz, amplitude)];
    let (rise, steady, fall) = (Seconds::new(0.0005), Seconds::new(0.002), Seconds::new(0.0275));
    Tone { partials: &partials, rise, steady, fall }.samples(rate)
}
