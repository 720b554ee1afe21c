//! Semitone numbers.

/// A semitone number as MIDI counts them, 0–127; middle C (C4) is 60.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MidiNote(u8);

impl MidiNote {
    /// A note number, or `None` above 127.
    pub const fn new(number: u8) -> Option<MidiNote> {
        if number <= 127 { Some(MidiNote(number)) } else { None }
    }

    /// The nearest note number.
    pub(super) fn saturating(semitones: i16) -> MidiNote {
        MidiNote(semitones.clamp(0, 127) as u8)
    }

    /// The number.
    pub const fn get(self) -> u8 {
        self.0
    }

    /// The note so many semitones higher, or `None` where MIDI has no number for it.
    pub fn transposed(self, semitones: i16) -> Option<MidiNote> {
        u8::try_from(i16::from(self.0) + semitones).ok().and_then(MidiNote::new)
    }
}
