//! A piece on file: its score, the harp it is played on, and what the player has decided about it.
//!
//! ```text
//! (
//!     document: piece,
//!     version: 1,
//!     title: "Greensleeves",
//!     source: file(path: "greensleeves.musicxml", sha256: "6e34…"),
//!     harp: (strings: preset(strings: 34, tuning: "Eb")),
//!     hands: usual,
//!     tempo: (beat: "3/2", per_minute: 36.0),
//!     pace: "improver",
//!     ending: stop,
//!     edits: [
//!         place(flip: (string: 16, to: up, needed_in: 3, needed_at: "9/4", time_through: 0), bar: 3, at: "3/2"),
//!     ],
//!     drill: (chunk: bar_each_side, count_in_bars: 1, tempo: (beat: "3/2", per_minute: 24.0)),
//! )
//! ```
//!
//! Bars are places in the score from 0, strings count from 1 at the top, places in a bar are quarter notes from its
//! start.

use leverlane_core::drill::ChunkSize;
use leverlane_core::plan::{Edit, EndOfPiece, FlipName, PaceLevel};
use leverlane_core::score::{BarIndex, Hand, HandRule};
use leverlane_core::time::Tempo;
use serde::{Deserialize, Serialize};

use super::harp::WrittenHarp;
use super::musical::{WrittenHand, WrittenState, WrittenTempo};
use super::source::WrittenSource;
use super::text::{self, Kind};
use super::{DocumentError, HarpDocument, Source, musical};

/// A piece with everything the player has decided about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// What the player calls it.
    pub title: String,
    /// Its score.
    pub source: Source,
    /// The harp it is planned for.
    pub harp: HarpDocument,
    /// Who plays what.
    pub hands: HandRule,
    /// The wanted tempo at the start; none for the score's own.
    pub tempo: Option<Tempo>,
    /// How fast her hands are.
    pub pace: PaceLevel,
    /// What follows the end.
    pub ending: EndOfPiece,
    /// Her own decisions about flips.
    pub edits: Vec<Edit>,
    /// How it is practised.
    pub drill: DrillSettings,
}

/// How a piece is practised.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrillSettings {
    /// How much music goes around a flip.
    pub chunk: ChunkSize,
    /// Bars counted before the first pass.
    pub count_in_bars: u8,
    /// The tempo it is practised at; none for the wanted tempo of the piece.
    pub tempo: Option<Tempo>,
}

impl Default for DrillSettings {
    fn default() -> DrillSettings {
        DrillSettings { chunk: ChunkSize::default(), count_in_bars: 1, tempo: None }
    }
}

impl Piece {
    /// Reads a piece.
    ///
    /// # Errors
    /// Bytes that are no piece document, one of a newer version, or values that can't be.
    pub fn read(bytes: &[u8]) -> Result<Piece, DocumentError> {
        text::version(bytes, Kind::Piece)?;
        text::parse::<WrittenPiece>(bytes)?.read()
    }

    /// Writes the piece in the newest version.
    ///
    /// # Errors
    /// None is known.
    pub fn write(&self) -> Result<Vec<u8>, DocumentError> {
        text::write(&WrittenPiece::from(self))
    }
}

/// Version 1.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenPiece {
    document: Kind,
    version: u32,
    #[serde(default)]
    title: String,
    source: WrittenSource,
    harp: WrittenHarp,
    #[serde(default)]
    hands: WrittenHands,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    tempo: Option<WrittenTempo>,
    pace: String,
    #[serde(default)]
    ending: WrittenEnding,
    #[serde(default)]
    edits: Vec<WrittenEdit>,
    #[serde(default)]
    drill: WrittenDrill,
}

#[derive(Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
enum WrittenHands {
    #[default]
    Usual,
    SplitAt {
        parts: Vec<usize>,
        lowest_right: String,
    },
    ByStaff {
        parts: Vec<usize>,
    },
    All {
        parts: Vec<usize>,
        hand: WrittenHand,
    },
}

#[derive(Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum WrittenEnding {
    #[default]
    Stop,
    Again,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenFlip {
    string: u8,
    to: WrittenState,
    needed_in: usize,
    needed_at: String,
    time_through: u32,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
enum WrittenEdit {
    Place { flip: WrittenFlip, bar: usize, at: String },
    Hand { flip: WrittenFlip, hand: WrittenHand },
    Preset { string: u8, state: WrittenState },
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenDrill {
    chunk: WrittenChunk,
    count_in_bars: u8,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    tempo: Option<WrittenTempo>,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum WrittenChunk {
    FlipBar,
    BarEachSide,
    TwoBarsEachSide,
    WholePiece,
}

impl Default for WrittenDrill {
    fn default() -> WrittenDrill {
        WrittenDrill::from(DrillSettings::default())
    }
}

impl From<&Piece> for WrittenPiece {
    fn from(piece: &Piece) -> WrittenPiece {
        WrittenPiece {
            document: Kind::Piece,
            version: Kind::Piece.newest(),
            title: piece.title.clone(),
            source: WrittenSource::from(&piece.source),
            harp: WrittenHarp::from(&piece.harp),
            hands: WrittenHands::from(&piece.hands),
            tempo: piece.tempo.map(WrittenTempo::from),
            pace: piece.pace.to_string(),
            ending: match piece.ending {
                EndOfPiece::Stop => WrittenEnding::Stop,
                EndOfPiece::Loop => WrittenEnding::Again,
            },
            edits: piece.edits.iter().map(WrittenEdit::from).collect(),
            drill: WrittenDrill::from(piece.drill),
        }
    }
}

impl From<&HandRule> for WrittenHands {
    fn from(rule: &HandRule) -> WrittenHands {
        match rule.clone() {
            HandRule::Usual => WrittenHands::Usual,
            HandRule::SplitAt { parts, lowest_right } => {
                WrittenHands::SplitAt { parts, lowest_right: lowest_right.ascii() }
            }
            HandRule::ByStaff { parts } => WrittenHands::ByStaff { parts },
            HandRule::All { parts, hand } => WrittenHands::All { parts, hand: hand.into() },
        }
    }
}

impl From<&FlipName> for WrittenFlip {
    fn from(flip: &FlipName) -> WrittenFlip {
        WrittenFlip {
            string: flip.string.get(),
            to: flip.to.into(),
            needed_in: flip.needed_in.get(),
            needed_at: flip.needed_at.to_string(),
            time_through: flip.time_through,
        }
    }
}

impl From<&Edit> for WrittenEdit {
    fn from(edit: &Edit) -> WrittenEdit {
        match edit {
            Edit::Place { flip, bar, at } => {
                WrittenEdit::Place { flip: flip.into(), bar: bar.get(), at: at.to_string() }
            }
            Edit::Hand { flip, hand } => WrittenEdit::Hand { flip: flip.into(), hand: (*hand).into() },
            Edit::Preset { string, state } => WrittenEdit::Preset { string: string.get(), state: (*state).into() },
        }
    }
}

impl From<DrillSettings> for WrittenDrill {
    fn from(settings: DrillSettings) -> WrittenDrill {
        WrittenDrill {
            chunk: match settings.chunk {
                ChunkSize::FlipBar => WrittenChunk::FlipBar,
                ChunkSize::BarEachSide => WrittenChunk::BarEachSide,
                ChunkSize::TwoBarsEachSide => WrittenChunk::TwoBarsEachSide,
                ChunkSize::WholePiece => WrittenChunk::WholePiece,
            },
            count_in_bars: settings.count_in_bars,
            tempo: settings.tempo.map(WrittenTempo::from),
        }
    }
}

impl WrittenPiece {
    fn read(self) -> Result<Piece, DocumentError> {
        let pace = self.pace.parse().map_err(|_| {
            DocumentError::invalid("pace", format!("\"{}\"", self.pace), "beginner, improver, fluent or expert")
        })?;
        Ok(Piece {
            title: self.title,
            source: self.source.read()?,
            harp: self.harp.read("harp.")?,
            hands: self.hands.read()?,
            tempo: self.tempo.map(|tempo| tempo.read("tempo")).transpose()?,
            pace,
            ending: match self.ending {
                WrittenEnding::Stop => EndOfPiece::Stop,
                WrittenEnding::Again => EndOfPiece::Loop,
            },
            edits: self.edits.iter().enumerate().map(|(index, edit)| edit.read(index)).collect::<Result<_, _>>()?,
            drill: self.drill.read()?,
        })
    }
}

impl WrittenHands {
    fn read(self) -> Result<HandRule, DocumentError> {
        Ok(match self {
            WrittenHands::Usual => HandRule::Usual,
            WrittenHands::SplitAt { parts, lowest_right } => {
                HandRule::SplitAt { parts, lowest_right: musical::pitch("hands.split_at.lowest_right", &lowest_right)? }
            }
            WrittenHands::ByStaff { parts } => HandRule::ByStaff { parts },
            WrittenHands::All { parts, hand } => HandRule::All { parts, hand: Hand::from(hand) },
        })
    }
}

impl WrittenFlip {
    fn read(&self, place: &str) -> Result<FlipName, DocumentError> {
        Ok(FlipName {
            string: musical::string(&format!("{place}, string"), self.string)?,
            to: self.to.into(),
            needed_in: BarIndex::new(self.needed_in),
            needed_at: musical::length(&format!("{place}, needed_at"), &self.needed_at)?,
            time_through: self.time_through,
        })
    }
}

impl WrittenEdit {
    fn read(&self, index: usize) -> Result<Edit, DocumentError> {
        let place = format!("edit {}", index + 1);
        Ok(match self {
            WrittenEdit::Place { flip, bar, at } => Edit::Place {
                flip: flip.read(&place)?,
                bar: BarIndex::new(*bar),
                at: musical::length(&format!("{place}, at"), at)?,
            },
            WrittenEdit::Hand { flip, hand } => Edit::Hand { flip: flip.read(&place)?, hand: Hand::from(*hand) },
            WrittenEdit::Preset { string, state } => {
                Edit::Preset { string: musical::string(&format!("{place}, string"), *string)?, state: (*state).into() }
            }
        })
    }
}

impl WrittenDrill {
    fn read(&self) -> Result<DrillSettings, DocumentError> {
        Ok(DrillSettings {
            chunk: match self.chunk {
                WrittenChunk::FlipBar => ChunkSize::FlipBar,
                WrittenChunk::BarEachSide => ChunkSize::BarEachSide,
                WrittenChunk::TwoBarsEachSide => ChunkSize::TwoBarsEachSide,
                WrittenChunk::WholePiece => ChunkSize::WholePiece,
            },
            count_in_bars: self.count_in_bars,
            tempo: self.tempo.as_ref().map(|tempo| tempo.read("drill.tempo")).transpose()?,
        })
    }
}

#[cfg(test)]
mod tests;
