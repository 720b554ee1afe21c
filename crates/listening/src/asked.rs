//! What a pass asks of the player, so that it can be listened to once more.

use leverlane_core::harp::{Harp, LeverState};
use leverlane_core::pitch::{Hertz, SpelledPitch};
use leverlane_core::time::Seconds;
use leverlane_core::verdict::ExpectedPass;

/// What the passes of a program ask of the player.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// The notes and flips.
    pub expected: ExpectedPass,
    /// The harp she plays on.
    pub harp: Harp,
}

impl Asked {
    /// When the last note is due, from the start of the pass; none where no note is.
    pub(crate) fn last_note(&self) -> Option<Seconds> {
        self.expected.notes.last().map(|note| note.at)
    }

    /// The pitches of every string of the harp, open and raised. Concert pitch is 440 Hz.
    pub fn likely(&self) -> Vec<Hertz> {
        let hertz = |pitch: SpelledPitch| Hertz::of_note(pitch.midi(), Hertz::A4);
        let mut likely = Vec::new();
        for string in self.harp.strings() {
            likely.push(hertz(string.open));
            if string.lever.is_fitted() {
                likely.push(hertz(string.sounds(LeverState::Up)));
            }
        }
        likely
    }
}
