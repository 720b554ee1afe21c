//! Version 1 of a piece file, to and from [`Piece`].

use super::super::error::value;
use crate::said;
use leverlane_core::drill::ChunkSize;
use leverlane_core::plan::{Edit, EndOfPiece, FlipName};
use leverlane_core::score::{BarHands, BarIndex, Hand, HandRule, NoteName, Rewrite};
use serde::{Deserialize, Serialize};

use super::{DrillSettings, Piece};
use crate::documents::DocumentError;
use crate::documents::harp::WrittenHarp;
use crate::documents::musical::{self, WrittenHand, WrittenState, WrittenTempo};
use crate::documents::source::WrittenSource;
use crate::documents::text::Kind;

/// A piece as it stands in a file of version 1.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(in crate::documents) struct WrittenPiece {
    document: Kind,
    version: u32,
    #[serde(default)]
    title: String,
    source: WrittenSource,
    harp: WrittenHarp,
    #[serde(default)]
    hands: WrittenHands,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    cue_line: Option<usize>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    tempo: Option<WrittenTempo>,
    pace: String,
    #[serde(default)]
    ending: WrittenEnding,
    #[serde(default)]
    edits: Vec<WrittenEdit>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    rewrites: Vec<WrittenRewrite>,
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
    ByVoice {
        parts: Vec<usize>,
    },
    ByPart {
        right: Vec<usize>,
        left: Vec<usize>,
    },
    All {
        parts: Vec<usize>,
        hand: WrittenHand,
    },
    ByBars {
        otherwise: Box<WrittenHands>,
        ranges: Vec<WrittenRange>,
    },
}

/// Bars from `first` to `last`.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenRange {
    first: usize,
    last: usize,
    hands: WrittenHands,
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
pub(in crate::documents) struct WrittenFlip {
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
    Forbid { flip: WrittenFlip },
    String { note: WrittenNote, string: u8 },
}

/// A note by its bar, its place in it in quarter notes, and its pitch.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenNote {
    bar: usize,
    at: String,
    pitch: String,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
enum WrittenRewrite {
    Hand { note: WrittenNote, hand: WrittenHand },
    Octaves { note: WrittenNote, up: i8 },
    Drop { note: WrittenNote },
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenDrill {
    chunk: WrittenChunk,
    count_in_bars: u8,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    tempo: Option<WrittenTempo>,
}

#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(in crate::documents) enum WrittenChunk {
    FlipBar,
    BarEachSide,
    TwoBarsEachSide,
    Bars { first: u32, last: u32 },
    WholePiece,
}

impl From<ChunkSize> for WrittenChunk {
    fn from(size: ChunkSize) -> WrittenChunk {
        match size {
            ChunkSize::FlipBar => WrittenChunk::FlipBar,
            ChunkSize::BarEachSide => WrittenChunk::BarEachSide,
            ChunkSize::TwoBarsEachSide => WrittenChunk::TwoBarsEachSide,
            ChunkSize::Bars { first, last } => WrittenChunk::Bars { first, last },
            ChunkSize::WholePiece => WrittenChunk::WholePiece,
        }
    }
}

impl From<WrittenChunk> for ChunkSize {
    fn from(size: WrittenChunk) -> ChunkSize {
        match size {
            WrittenChunk::FlipBar => ChunkSize::FlipBar,
            WrittenChunk::BarEachSide => ChunkSize::BarEachSide,
            WrittenChunk::TwoBarsEachSide => ChunkSize::TwoBarsEachSide,
            WrittenChunk::Bars { first, last } => ChunkSize::Bars { first, last },
            WrittenChunk::WholePiece => ChunkSize::WholePiece,
        }
    }
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
            cue_line: piece.cue_line,
            tempo: piece.tempo.map(WrittenTempo::from),
            pace: piece.pace.to_string(),
            ending: match piece.ending {
                EndOfPiece::Stop => WrittenEnding::Stop,
                EndOfPiece::Loop => WrittenEnding::Again,
            },
            edits: piece.edits.iter().map(WrittenEdit::from).collect(),
            rewrites: piece.rewrites.iter().map(WrittenRewrite::from).collect(),
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
            HandRule::ByVoice { parts } => WrittenHands::ByVoice { parts },
            HandRule::ByPart { right, left } => WrittenHands::ByPart { right, left },
            HandRule::All { parts, hand } => WrittenHands::All { parts, hand: hand.into() },
            HandRule::ByBars { otherwise, ranges } => {
                let range = |range: &BarHands| WrittenRange {
                    first: range.first.get(),
                    last: range.last.get(),
                    hands: WrittenHands::from(&range.rule),
                };
                WrittenHands::ByBars {
                    otherwise: Box::new(WrittenHands::from(&*otherwise)),
                    ranges: ranges.iter().map(range).collect(),
                }
            }
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
            Edit::Forbid { flip } => WrittenEdit::Forbid { flip: flip.into() },
            Edit::String { note, string } => WrittenEdit::String { note: note.into(), string: string.get() },
        }
    }
}

impl From<&NoteName> for WrittenNote {
    fn from(note: &NoteName) -> WrittenNote {
        WrittenNote { bar: note.bar.get(), at: note.at.to_string(), pitch: note.pitch.ascii() }
    }
}

impl From<&Rewrite> for WrittenRewrite {
    fn from(rewrite: &Rewrite) -> WrittenRewrite {
        match rewrite {
            Rewrite::Hand { note, hand } => WrittenRewrite::Hand { note: note.into(), hand: (*hand).into() },
            Rewrite::Octaves { note, up } => WrittenRewrite::Octaves { note: note.into(), up: *up },
            Rewrite::Drop { note } => WrittenRewrite::Drop { note: note.into() },
        }
    }
}

impl From<DrillSettings> for WrittenDrill {
    fn from(settings: DrillSettings) -> WrittenDrill {
        WrittenDrill {
            chunk: settings.chunk.into(),
            count_in_bars: settings.count_in_bars,
            tempo: settings.tempo.map(WrittenTempo::from),
        }
    }
}

impl WrittenPiece {
    pub(in crate::documents) fn read(self) -> Result<Piece, DocumentError> {
        let pace = self.pace.parse().map_err(|_| {
            DocumentError::invalid(
                "pace",
                value(format!("\"{}\"", self.pace)),
                said!("beginner, improver, fluent, expert, or 0.5 to 3"),
            )
        })?;
        let source = self.source.read(&self.title)?;
        Ok(Piece {
            title: self.title,
            source,
            harp: self.harp.read("harp.")?,
            hands: self.hands.read()?,
            cue_line: self.cue_line,
            tempo: self.tempo.map(|tempo| tempo.read("tempo")).transpose()?,
            pace,
            ending: match self.ending {
                WrittenEnding::Stop => EndOfPiece::Stop,
                WrittenEnding::Again => EndOfPiece::Loop,
            },
            edits: self.edits.iter().enumerate().map(|(index, edit)| edit.read(index)).collect::<Result<_, _>>()?,
            rewrites: self
                .rewrites
                .iter()
                .enumerate()
                .map(|(index, rewrite)| rewrite.read(&format!("rewrite {}", index + 1)))
                .collect::<Result<_, _>>()?,
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
            WrittenHands::ByVoice { parts } => HandRule::ByVoice { parts },
            WrittenHands::ByPart { right, left } => HandRule::ByPart { right, left },
            WrittenHands::All { parts, hand } => HandRule::All { parts, hand: Hand::from(hand) },
            WrittenHands::ByBars { otherwise, ranges } => {
                let range = |range: WrittenRange| {
                    let (first, last) = (BarIndex::new(range.first), BarIndex::new(range.last));
                    Ok(BarHands { first, last, rule: range.hands.read()? })
                };
                HandRule::ByBars {
                    otherwise: Box::new(otherwise.read()?),
                    ranges: ranges.into_iter().map(range).collect::<Result<_, DocumentError>>()?,
                }
            }
        })
    }
}

impl WrittenFlip {
    pub(in crate::documents) fn read(&self, place: &str) -> Result<FlipName, DocumentError> {
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
            WrittenEdit::Forbid { flip } => Edit::Forbid { flip: flip.read(&place)? },
            WrittenEdit::String { note, string } => Edit::String {
                note: note.read(&place)?,
                string: musical::string(&format!("{place}, string"), *string)?,
            },
        })
    }
}

impl WrittenNote {
    fn read(&self, place: &str) -> Result<NoteName, DocumentError> {
        Ok(NoteName {
            bar: BarIndex::new(self.bar),
            at: musical::length(&format!("{place}, at"), &self.at)?,
            pitch: musical::pitch(&format!("{place}, pitch"), &self.pitch)?,
        })
    }
}

impl WrittenRewrite {
    fn read(&self, place: &str) -> Result<Rewrite, DocumentError> {
        Ok(match self {
            WrittenRewrite::Hand { note, hand } => Rewrite::Hand { note: note.read(place)?, hand: Hand::from(*hand) },
            WrittenRewrite::Octaves { note, up } => Rewrite::Octaves { note: note.read(place)?, up: *up },
            WrittenRewrite::Drop { note } => Rewrite::Drop { note: note.read(place)? },
        })
    }
}

impl WrittenDrill {
    fn read(&self) -> Result<DrillSettings, DocumentError> {
        Ok(DrillSettings {
            chunk: self.chunk.into(),
            count_in_bars: self.count_in_bars,
            tempo: self.tempo.as_ref().map(|tempo| tempo.read("drill.tempo")).transpose()?,
        })
    }
}
