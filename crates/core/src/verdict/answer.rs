//! What a verdict says.

use super::Mend;
use crate::drill::PassResult;
use crate::harp::{LeverState, StringNumber};
use crate::pitch::Cents;
use crate::time::Seconds;

/// The verdict on one pass.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// What it rests on.
    pub basis: Basis,
    /// Each expected note, in the order of [`super::ExpectedPass::notes`]; none where nobody listened.
    pub notes: Vec<NoteVerdict>,
    /// What was heard beyond them, by its place in [`super::Evidence::heard`]. Sounds heard too uncertainly to be held
    /// against the player are left out.
    pub extra: Vec<usize>,
    /// The median of the time errors: how early (negative) or late she plays as a habit, the device's delay included.
    pub bias: Option<Seconds>,
    /// How far the time errors lie about their median: 1.4826 times the median absolute deviation, which for normally
    /// distributed errors is the standard deviation.
    pub spread: Option<Seconds>,
    /// Of all flips the largest hesitation, waiting or hurrying.
    pub hesitation: Option<Hesitation>,
    /// Each expected flip, in the order of [`super::ExpectedPass::flips`].
    pub flips: Vec<FlipVerdict>,
    /// Whether the pass counts as clean.
    pub steady: Steadiness,
    /// The one thing to mend; none where there is nothing.
    pub mend: Option<Mend>,
}

/// What a verdict rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// The notes that were heard.
    Heard,
    /// The player's taps on the flip alone.
    Tapped,
    /// What the player said of the pass.
    OwnWord,
    /// Nobody listened, tapped or said anything.
    Nothing,
}

/// Whether a pass counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Steadiness {
    /// A clean pass.
    Steady,
    /// Not clean yet; [`Verdict::mend`] says why.
    NotYet,
    /// Too little was heard to say; counts neither for nor against the player.
    Unheard,
}

impl From<Steadiness> for PassResult {
    fn from(steady: Steadiness) -> PassResult {
        match steady {
            Steadiness::Steady => PassResult::Clean,
            Steadiness::NotYet => PassResult::Missed,
            Steadiness::Unheard => PassResult::Unheard,
        }
    }
}

/// One expected note.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NoteVerdict {
    /// What became of it.
    pub outcome: NoteOutcome,
    /// What it was matched with, by its place in [`super::Evidence::heard`].
    pub heard: Option<usize>,
    /// How late it came (early: negative), against the click.
    pub error: Option<Seconds>,
}

/// What became of an expected note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoteOutcome {
    /// It came.
    Hit,
    /// The string was plucked, its lever standing otherwise than it should.
    WrongLever,
    /// It did not come.
    Missed,
    /// It was not heard, and may yet have been played: a string inside a chord of which others were heard.
    NotHeard,
}

/// One expected flip.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlipVerdict {
    /// The string.
    pub string: StringNumber,
    /// Where its lever was to go.
    pub to: LeverState,
    /// What became of it.
    pub outcome: FlipOutcome,
    /// How far above its open pitch the string was heard at its next pluck; 100 is a raised lever.
    pub cents: Option<Cents>,
    /// How late the tap came (early: negative); the flip's own beat is known from a tap only.
    pub tap_error: Option<Seconds>,
    /// How the notes around it held their time.
    pub hesitation: Option<Hesitation>,
}

/// What became of a flip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FlipOutcome {
    /// The string sounds in its new state from its next pluck on.
    Clean,
    /// The state changed only after that pluck.
    Late,
    /// The lever was moved a part of its way.
    Half,
    /// The string still sounds in its old state.
    Missed,
    /// It can't be told.
    Unheard,
}

/// How much longer the player took across a flip than is written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hesitation {
    /// The time by which the notes after the flip came later than those before it; negative where she hurried.
    pub longer_by: Seconds,
    /// The same as a share of the beat there.
    pub of_beat: f64,
}
