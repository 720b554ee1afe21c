//! What a voice holds once it is read: bars of notes and rests, and the signs that stand at them.

use leverlane_core::pitch::Letter;
use leverlane_core::score::{Finger, JumpTarget, Roll, Tie};
use leverlane_core::time::Tempo;

use super::fields::MeterField;
use super::fraction::Fraction;
use super::key::Signature;
use super::source::Place;

/// A note's head: its pitch as it sounds but for the voice's transposition, and its length.
#[derive(Clone, Debug)]
pub(super) struct Head {
    pub(super) letter: Letter,
    pub(super) alter: i8,
    pub(super) octave: i32,
    pub(super) length: Fraction,
    pub(super) tie: Tie,
    pub(super) place: Place,
}

/// Notes that begin together, or a rest, with the graces that lead to it.
#[derive(Clone, Debug)]
pub(super) struct Event {
    /// From the start of the bar.
    pub(super) onset: Fraction,
    /// How far the voice moves on.
    pub(super) length: Fraction,
    /// None for a rest.
    pub(super) heads: Vec<Head>,
    /// Each with its place in the row; the notes of a grace chord share one.
    pub(super) graces: Vec<(u8, Head)>,
    pub(super) held: bool,
    pub(super) roll: Option<Roll>,
    /// As they are written: all for a single note, one for each of a chord's.
    pub(super) fingers: Vec<Finger>,
    /// 0, or how many overlays of the bar come before.
    pub(super) layer: usize,
}

/// What stands at a bar to steer the playing order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct BarMarks {
    /// How many more times the passage that begins here is played.
    pub(super) opens_repeat: u8,
    /// How many more times the passage that ends here is played.
    pub(super) closes_repeat: u8,
    /// The times through that begin here.
    pub(super) ending: Option<Vec<u8>>,
    /// A thick or double bar line at the end.
    pub(super) ends_section: bool,
    /// A part's label at the beginning.
    pub(super) part: Option<char>,
    pub(super) segno: bool,
    pub(super) coda: bool,
    pub(super) to_coda: bool,
    pub(super) jump: Option<JumpTarget>,
    pub(super) fine: bool,
}

/// One bar of one voice.
#[derive(Clone, Debug)]
pub(super) struct Measure {
    pub(super) events: Vec<Event>,
    pub(super) length: Fraction,
    pub(super) meter: MeterField,
    pub(super) signature: Signature,
    /// Semitones that the player transposes by.
    pub(super) semitones: i8,
    pub(super) tempos: Vec<(Fraction, Tempo)>,
    pub(super) marks: BarMarks,
}
