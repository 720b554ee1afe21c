//! Pages that cover the place where the player is.

use std::ops::Range;
use std::sync::Arc;

use crate::keys::Action;

/// A page in front.
#[derive(Clone, Debug, PartialEq)]
pub enum Sheet {
    /// Keys, how to read the strip, cautions.
    Help,
    /// Version and licences.
    About,
    /// Language, names of notes, colours, distance, movement, keys.
    Settings,
    /// How the ladder is set up, and what counts as steady.
    Ladder,
    /// Which key does what.
    Keys {
        /// What the next key that is pressed shall do, or no longer do.
        wanted: Option<Action>,
    },
    /// Writing a piece down from paper.
    Paper,
    /// Which parts are the harp, and which hand plays what.
    Hands,
    /// Everything that was read otherwise than it stands.
    Warnings,
    /// By how much each lever raises its string.
    LeverCheck,
    /// How each string is tuned.
    Tuner,
    /// The latency by the player's taps.
    TapAlong,
    /// A file with several tunes, to choose from.
    Tunes(Tunes),
}

/// A file with several tunes.
#[derive(Clone, Debug, PartialEq)]
pub struct Tunes {
    /// What the file is called.
    pub name: String,
    /// Its content.
    pub bytes: Arc<[u8]>,
    /// Each tune's number and title, and where it stands in the bytes.
    pub tunes: Vec<(String, Range<usize>)>,
}
