//! All strings of the harp that can sound at once.

use leverlane_core::pitch::MidiNote;
use leverlane_core::score::Hand;
use leverlane_core::time::Seconds;

use crate::plucked_voice::{PluckedVoice, PreparedNote};
use crate::program::SoundingString;
use crate::sample_clock::SampleRate;

/// Voices at hand: more than a harp has strings, since a string plucked anew fades while it sounds anew.
const VOICES: usize = 80;
/// How long a string takes to fall silent under the finger that plucks it anew (assumed).
const REPLUCK_FADE: Seconds = Seconds::new(0.006);
/// How long all strings take to fall silent under flat hands (assumed).
const STOP_FADE: Seconds = Seconds::new(0.12);

/// The sounding strings. Nothing here allocates once it is made.
#[derive(Debug)]
pub(crate) struct Strings {
    notes: Vec<Option<PreparedNote>>,
    voices: Vec<Voice>,
    repluck_fade: u32,
    stop_fade: u32,
}

/// Whose note a string sounds; each has a volume of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Part {
    /// A hand's.
    Hand(Hand),
    /// The cue line's.
    Guide,
}

/// The gains of each part, sample by sample.
#[derive(Clone, Copy)]
pub(crate) struct PartGains<'a> {
    pub(crate) left_hand: &'a [f32],
    pub(crate) right_hand: &'a [f32],
    pub(crate) guide: &'a [f32],
}

#[derive(Debug)]
struct Voice {
    string: Option<SoundingString>,
    of: Part,
    voice: PluckedVoice,
}

impl Strings {
    /// Silent strings, every note prepared. Allocates.
    pub(crate) fn new(rate: SampleRate) -> Strings {
        let notes: Vec<_> =
            (0..=127).map(|number| MidiNote::new(number).and_then(|note| PreparedNote::new(note, rate))).collect();
        let longest = notes.iter().flatten().map(PreparedNote::line_length).max().unwrap_or(1);
        let voice = || Voice { string: None, of: Part::Guide, voice: PluckedVoice::with_room_for(longest) };
        let samples = |time| rate.samples_in(time).nearest().get() as u32;
        Strings {
            notes,
            voices: (0..VOICES).map(|_| voice()).collect(),
            repluck_fade: samples(REPLUCK_FADE),
            stop_fade: samples(STOP_FADE),
        }
    }

    /// Plucks a string on the next sample. What it sounded before fades; where no voice is free, the one that would
    /// have been silent soonest gives way. A note outside the range of audible pitches stays silent.
    pub(crate) fn pluck(&mut self, string: SoundingString, note: MidiNote, of: Part) {
        let Some(prepared) = self.notes.get(usize::from(note.get())).and_then(Option::as_ref) else { return };
        for voice in self.voices.iter_mut().filter(|voice| voice.string == Some(string)) {
            voice.voice.damp(self.repluck_fade);
            voice.string = None;
        }
        let Some(voice) = self.voices.iter_mut().min_by_key(|voice| voice.voice.samples_left()) else { return };
        voice.voice.pluck(prepared);
        voice.string = Some(string);
        voice.of = of;
    }

    /// Lets every string fall silent.
    pub(crate) fn damp_all(&mut self) {
        for voice in &mut self.voices {
            voice.voice.damp(self.stop_fade);
            voice.string = None;
        }
    }

    /// Adds the next samples to `frames`, those of each part times its gains.
    pub(crate) fn add_to(&mut self, frames: &mut [[f32; 2]], gains: PartGains<'_>) {
        for voice in &mut self.voices {
            let gains = match voice.of {
                Part::Hand(Hand::Left) => gains.left_hand,
                Part::Hand(Hand::Right) => gains.right_hand,
                Part::Guide => gains.guide,
            };
            voice.voice.add_to(frames, gains);
        }
    }
}
