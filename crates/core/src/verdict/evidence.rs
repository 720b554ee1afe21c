//! What was heard of a pass, tapped, or said by the player.

use crate::harp::StringNumber;
use crate::pitch::{Cents, MidiNote};
use crate::time::Seconds;

/// Everything that is known of one pass. The default is that nothing is.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Evidence {
    /// How the notes were heard.
    pub ear: Ear,
    /// The notes, by time.
    pub heard: Vec<HeardNote>,
    /// What was found out about single strings at their plucks, in any order; it outweighs the pitch of a heard note.
    pub levers: Vec<LeverEvidence>,
    /// The taps by which the player tells that she moves a lever now, by time; none where she does not tap at all.
    pub taps: Option<Vec<Seconds>>,
    /// What she herself says of the pass; it decides.
    pub word: Option<OwnWord>,
}

/// How notes are heard.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Ear {
    /// Nobody listens.
    #[default]
    Closed,
    /// Each note is reported as it was played: what is not reported was not played.
    Exact,
    /// Through a microphone: a string inside a chord may sound and yet not be heard.
    Microphone,
}

/// A note that was heard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeardNote {
    /// From the start of the pass.
    pub at: Seconds,
    /// The nearest note.
    pub note: MidiNote,
    /// How far above that note it sounded (below: negative).
    pub cents: Cents,
    /// How sure it is that it was played, 0 to 1.
    pub certainty: f64,
}

impl HeardNote {
    /// Its pitch above MIDI note 0.
    pub fn pitch(&self) -> Cents {
        Cents::new(f64::from(self.note.get()) * 100.0 + self.cents.get())
    }
}

/// What a string was heard to sound at one of its plucks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LeverEvidence {
    /// The string.
    pub string: StringNumber,
    /// The pluck, from the start of the pass.
    pub at: Seconds,
    /// How its lever stood when it was plucked.
    pub state: LeverHeard,
    /// How it stood afterwards, where the pitch changed while the string rang.
    pub changed_to: Option<LeverHeard>,
}

/// How a lever was heard to stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LeverHeard {
    /// The string sounded open.
    Open,
    /// The string sounded raised.
    Up,
    /// In between, so far above the open pitch.
    Half(Cents),
    /// It can't be told.
    Unsure,
}

/// What the player says of a pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OwnWord {
    /// It went well.
    Clean,
    /// It did not.
    Missed,
}
