//! What is written beside the notes and says something to a harpist.

use super::{BarIndex, Note};
use crate::pitch::Letter;
use crate::time::Ticks;

/// Everything written beside the notes of a score.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Markings {
    /// Lever marks, by bar and place.
    pub levers: Vec<LeverMark>,
    /// Placing brackets, by where they begin.
    pub brackets: Vec<PlacingBracket>,
    /// Fermatas that stand over no note, by bar and place.
    pub holds: Vec<Hold>,
    /// Cue notes: small notes in a part that another player sounds.
    pub cues: Vec<CueNote>,
}

/// A letter and an accidental alone over or under a staff: from here on the strings of that letter sound so (common
/// practice; no standard defines it).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LeverMark {
    /// The bar it stands in.
    pub bar: BarIndex,
    /// Where in that bar, from its beginning; up to the bar's length.
    pub at: Ticks,
    /// The part it stands in, by its place in [`super::Score::parts`].
    pub part: usize,
    /// The letter.
    pub letter: Letter,
    /// The accidental: flat −1, natural 0, sharp 1 semitones.
    pub alter: i8,
    /// The scientific octave, where the mark names one; otherwise the coming notes say which strings are meant.
    pub octave: Option<i8>,
}

/// A bracket over notes whose fingers are placed together. Only print.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlacingBracket {
    /// The part, by its place in [`super::Score::parts`].
    pub part: usize,
    /// The staff within the part, from 1.
    pub staff: u8,
    /// The bar it begins in, and where in that bar.
    pub begins: (BarIndex, Ticks),
    /// The bar it ends in, and where in that bar.
    pub ends: (BarIndex, Ticks),
}

/// A fermata over a rest or a bar line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hold {
    /// The bar.
    pub bar: BarIndex,
    /// Where in that bar: the beginning of the rest, or the bar's end.
    pub at: Ticks,
}

/// A small note that shows what another player sounds.
#[derive(Clone, Debug, PartialEq)]
pub struct CueNote {
    /// The part in which it is printed, by its place in [`super::Score::parts`].
    pub part: usize,
    /// The note.
    pub note: Note,
}
