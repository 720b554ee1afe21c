//! What a note is called, where it stands among the semitones, and how fast it vibrates.

mod cents;
mod hertz;
mod key;
mod letter;
mod midi_note;
mod spelling;

pub use cents::Cents;
pub use hertz::Hertz;
pub use key::Key;
pub use letter::Letter;
pub use midi_note::MidiNote;
pub use spelling::{PitchError, SpelledPitch};
