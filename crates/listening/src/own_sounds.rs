//! Notes that are our own sounds, heard again.

use std::collections::VecDeque;

use leverlane_core::drill::Accent;
use leverlane_core::pitch::{Hertz, MidiNote};
use leverlane_sound::{Click, ClickSound, Played, SampleIndex, SampleRate, Sounding};

/// So near to a sound of ours a note may be that sound (seconds before and after).
const NEAR: (f64, f64) = (0.030, 0.060);
/// So near to a click a note may be what is left of it, for the listener looks at a tenth of a second at once.
const NEAR_CLICK: f64 = 0.060;
/// How near to its pitch, in semitones.
const PITCH: f64 = 0.8;
/// How many of our sounds are remembered: some seconds of the busiest drill.
const REMEMBERED: usize = 512;

/// Remembers what was played of late.
#[derive(Debug, Default)]
pub(crate) struct OwnSounds {
    played: VecDeque<Played>,
}

impl OwnSounds {
    pub(crate) fn note(&mut self, played: Played) {
        if self.played.len() == REMEMBERED {
            self.played.pop_front();
        }
        self.played.push_back(played);
    }

    /// The usual click that a sound on this sample, by our own count, may be what is left of. Of high ones nothing is left.
    pub(crate) fn click_near(&self, at: SampleIndex, rate: SampleRate) -> Option<Accent> {
        let per_second = f64::from(rate.get());
        self.played.iter().rev().find_map(|played| match played.what {
            Sounding::Click(Click { sound: ClickSound::Usual, accent }) => {
                let after = (at.get() as f64 - played.at.get() as f64) / per_second;
                (-NEAR_CLICK..=NEAR_CLICK).contains(&after).then_some(accent)
            }
            _ => None,
        })
    }

    /// Whether a note that began on this sample, by our own count, at this pitch (MIDI note and parts of it) is a sound
    /// of ours.
    pub(crate) fn is_own(&self, at: SampleIndex, pitch: f64, rate: SampleRate) -> bool {
        let per_second = f64::from(rate.get());
        self.played.iter().any(|played| {
            let after = (at.get() as f64 - played.at.get() as f64) / per_second;
            (-NEAR.0..=NEAR.1).contains(&after) && pitches(played.what).iter().any(|own| (own - pitch).abs() < PITCH)
        })
    }
}

/// The pitches that may be heard in a sound of ours, as MIDI notes with their parts; of the cue the octave below too, which
/// one partial alone may be taken for. What is left of a click is told by its strength: with the octave below it, most F5 that
/// were plucked on a beat were taken for the click.
pub(crate) fn pitches(what: Sounding) -> Vec<f64> {
    let with_octave_below =
        |hertz: &[f64]| hertz.iter().flat_map(|&hertz| [midi_of(hertz), midi_of(hertz / 2.0)]).collect();
    match what {
        Sounding::Click(Click { sound: ClickSound::Usual, accent }) => {
            vec![midi_of(ClickSound::Usual.hertz(accent))]
        }
        // Its partials are those of a G4 without its lowest.
        Sounding::Cue => with_octave_below(&[392.0, 784.0, 1_176.0, 1_568.0]),
        Sounding::Guide(note) | Sounding::Pluck { note, .. } => vec![f64::from(note.get())],
        // No string is so high, nor an octave below; and it is kept out of what is listened to.
        Sounding::Click(Click { sound: ClickSound::High, .. }) => Vec::new(),
        // A voice glides: no pitch of it stands long enough to be taken for a string's.
        Sounding::Word(_) | Sounding::Sweep | Sounding::Pass { .. } | Sounding::Stop => Vec::new(),
    }
}

fn midi_of(hertz: f64) -> f64 {
    let a4 = MidiNote::new(69).map_or(440.0, |a4| Hertz::of_note(a4, Hertz::A4).get());
    69.0 + 12.0 * (hertz / a4).log2()
}

#[cfg(test)]
mod tests {
    use leverlane_core::score::Hand;

    use super::*;

    /// 1,400 Hz is F6 and 4 cents (89.04), by f = 440 · 2^((m - 69) / 12).
    #[test]
    fn a_note_is_ours_only_at_our_time_and_pitch() {
        let mut own = OwnSounds::default();
        let at = SampleIndex::new;
        let click = Sounding::Click(Click { sound: ClickSound::Usual, accent: Accent::Beat });
        own.note(Played { at: at(48_000), what: click });
        let guide = Sounding::Pluck { note: MidiNote::new(48).unwrap(), hand: Hand::Left };
        own.note(Played { at: at(96_000), what: guide });
        let is_own = |sample, pitch| own.is_own(at(sample), pitch, SampleRate::USUAL);
        assert!(is_own(48_100, 89.0) && is_own(47_000, 89.1));
        assert!(!is_own(48_100, 60.0), "a C4 on the click was played");
        assert!(!is_own(60_000, 89.0), "an F6 a quarter of a second later was played");
        assert!(is_own(96_200, 48.0) && !is_own(96_200, 49.0));
    }
}
