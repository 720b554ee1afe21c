//! The tone on the flip beat.

use leverlane_core::time::Seconds;

use crate::one_shot::OneShots;
use crate::sample_clock::SampleRate;
use crate::tone::Tone;

/// The one sound.
pub(crate) fn cue_tones(rate: SampleRate) -> OneShots {
    OneShots::new(vec![cue_tone(rate)])
}

/// The cue tone: a fifth that holds for a tenth of a second and then fades, where clicks and strings only decay. It
/// rises within 3 ms.
pub(crate) fn cue_tone(rate: SampleRate) -> Box<[f32]> {
    let partials = [(784.0, 0.2), (1_176.0, 0.14), (1_568.0, 0.04)];
    let (rise, steady, fall) = (Seconds::new(0.003), Seconds::new(0.1), Seconds::new(0.08));
    Tone { partials: &partials, rise, steady, fall }.samples(rate)
}
