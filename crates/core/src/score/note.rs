//! Notes as written.

use super::BarIndex;
use crate::pitch::SpelledPitch;
use crate::time::Ticks;

/// One written, sounding note. Notes joined by ties are separate here; a [`super::Performance`] joins them.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    /// The bar it begins in.
    pub bar: BarIndex,
    /// Where it begins, from the start of its bar; a grace note's is that of the note it leads to.
    pub onset: Ticks,
    /// How long it is written; zero for a grace note.
    pub length: Ticks,
    /// The pitch at sounding octave and transposition. For a harmonic this is the string's pitch, which is what the
    /// lever logic needs.
    pub pitch: SpelledPitch,
    /// What a harmonic sounds, where it differs from `pitch`.
    pub harmonic: Option<SpelledPitch>,
    /// Grace or not.
    pub kind: NoteKind,
    /// The staff within its part, from 1.
    pub staff: u8,
    /// Its voice within its part.
    pub voice: VoiceIndex,
    /// Whether it is tied to its neighbours.
    pub tie: Tie,
    /// Whether it belongs to a rolled chord, and which way.
    pub roll: Option<Roll>,
    /// Written to ring on (laissez vibrer).
    pub rings_on: bool,
    /// Under a fermata.
    pub held: bool,
    /// The fingers written at it: the one that plays, then those that take its place. Only print.
    pub fingers: Vec<Finger>,
    /// Where a glissando leads that begins on this note; while the note lasts, the hand sweeps the strings between.
    pub glissando_to: Option<SpelledPitch>,
}

impl Note {
    /// The pitch that is heard.
    pub fn sounding(&self) -> SpelledPitch {
        self.harmonic.unwrap_or(self.pitch)
    }
}

/// A finger as written at a note: harpists count the thumb 1 and use up to 4; other players' 5 is kept too.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Finger(u8);

impl Finger {
    /// The finger of a number, from 1 (thumb) to 5.
    pub fn new(number: u8) -> Option<Finger> {
        (1..=5).contains(&number).then_some(Finger(number))
    }

    /// Its number.
    pub const fn get(self) -> u8 {
        self.0
    }
}

/// Whether a note has a place of its own in the bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoteKind {
    /// With a written length.
    Timed,
    /// A grace note: plucked just before the note it leads to. Several count up to the last, from 0.
    Grace(u8),
}

impl NoteKind {
    /// The order of notes with one onset: graces in their own order, then what they lead to.
    pub const fn order(self) -> u8 {
        match self {
            NoteKind::Grace(place) => place,
            NoteKind::Timed => u8::MAX,
        }
    }
}

/// A voice of a part, by its place in [`super::Part::voices`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct VoiceIndex(pub u16);

/// A note's ties (the sound, not the print).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Tie {
    /// Plucked and not prolonged.
    #[default]
    None,
    /// Plucked and prolonged by the next note.
    Start,
    /// Prolongs the one before, and is prolonged itself.
    Continue,
    /// Prolongs the one before.
    Stop,
}

/// The way a chord is rolled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Roll {
    /// From the lowest string.
    Up,
    /// From the highest string.
    Down,
}

/// A note of a score: the part, and the note's place in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NoteRef {
    /// The part's place in [`super::Score::parts`].
    pub part: usize,
    /// The note's place in [`super::Part::notes`].
    pub note: usize,
}
