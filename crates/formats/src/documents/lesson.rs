//! A lesson on file: a piece with its plan's decisions, the flips to practise, each with its ladder, and a note.
//!
//! ```text
//! (
//!     document: lesson,
//!     version: 1,
//!     title: "The G levers",
//!     note: "The left hand alone first. Stop if anything hurts.",
//!     piece: (document: piece, version: 1, source: inside(…), …),
//!     chunks: [
//!         (
//!             flip: (string: 16, to: up, needed_in: 3, needed_at: "9/4", time_through: 0),
//!             size: bar_each_side,
//!             layer: both,
//!             ladder: (
//!                 start: (beat: "3/2", per_minute: 24.0),
//!                 goal: (beat: "3/2", per_minute: 36.0),
//!                 step: beats(2.0),
//!                 clean_to_climb: 3,
//!                 scheme: climb,
//!             ),
//!         ),
//!     ],
//! )
//! ```

use super::error::value;
use leverlane_core::drill::{ChunkSize, LadderPlan, Layer, RungStep, Scheme};
use leverlane_core::plan::FlipName;
use serde::{Deserialize, Serialize};

use super::musical::WrittenTempo;
use super::piece::written::{WrittenChunk, WrittenFlip, WrittenPiece};
use super::text::{self, Kind};
use super::{DocumentError, Piece};
use crate::{Limits, said};

/// What a teacher hands out.
#[derive(Clone, Debug, PartialEq)]
pub struct Lesson {
    /// What it is called.
    pub title: String,
    /// What the teacher says to it.
    pub note: String,
    /// The piece, with the decisions about its flips.
    pub piece: Piece,
    /// What is to be practised, in order.
    pub chunks: Vec<LessonChunk>,
}

/// One flip to practise.
#[derive(Clone, Debug, PartialEq)]
pub struct LessonChunk {
    /// The flip.
    pub flip: FlipName,
    /// How much music is around it.
    pub size: ChunkSize,
    /// What is played.
    pub layer: Layer,
    /// The tempos.
    pub ladder: LadderPlan,
}

/// More flips than any lesson has.
const MOST_CHUNKS: usize = 10_000;

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenLesson {
    document: Kind,
    version: u32,
    #[serde(default)]
    title: String,
    #[serde(default)]
    note: String,
    piece: WrittenPiece,
    chunks: Vec<WrittenLessonChunk>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenLessonChunk {
    flip: WrittenFlip,
    size: WrittenChunk,
    layer: WrittenLayer,
    ladder: WrittenLadder,
}

#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum WrittenLayer {
    FlipAlone,
    FlippingHand,
    OtherHandByFeel,
    Both,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenLadder {
    start: WrittenTempo,
    goal: WrittenTempo,
    step: WrittenStep,
    clean_to_climb: u8,
    #[serde(default)]
    scheme: WrittenScheme,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum WrittenStep {
    Beats(f64),
    PerCent(f64),
}

#[derive(Clone, Copy, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum WrittenScheme {
    #[default]
    Climb,
    Alternate,
}

impl Lesson {
    /// Reads a lesson.
    ///
    /// # Errors
    /// More bytes than the limits take, bytes that are no lesson, one of a newer version, or values that can't be.
    pub fn read(bytes: &[u8], limits: &Limits) -> Result<Lesson, DocumentError> {
        text::check_size(bytes, limits)?;
        text::version(bytes, Kind::Lesson)?;
        text::parse::<WrittenLesson>(bytes)?.read()
    }

    /// Writes the lesson in the newest version.
    ///
    /// # Errors
    /// None is known.
    pub fn write(&self) -> Result<Vec<u8>, DocumentError> {
        text::write(&WrittenLesson {
            document: Kind::Lesson,
            version: Kind::Lesson.newest(),
            title: self.title.clone(),
            note: self.note.clone(),
            piece: WrittenPiece::from(&self.piece),
            chunks: self.chunks.iter().map(WrittenLessonChunk::from).collect(),
        })
    }
}

impl WrittenLesson {
    fn read(self) -> Result<Lesson, DocumentError> {
        if self.chunks.len() > MOST_CHUNKS {
            return Err(DocumentError::invalid(
                "chunks",
                value(self.chunks.len()),
                said!("at most {most}", most = MOST_CHUNKS),
            ));
        }
        let chunks =
            self.chunks.iter().enumerate().map(|(index, chunk)| chunk.read(index)).collect::<Result<_, _>>()?;
        Ok(Lesson { title: self.title, note: self.note, piece: self.piece.read()?, chunks })
    }
}

impl From<&LessonChunk> for WrittenLessonChunk {
    fn from(chunk: &LessonChunk) -> WrittenLessonChunk {
        WrittenLessonChunk {
            flip: WrittenFlip::from(&chunk.flip),
            size: chunk.size.into(),
            layer: match chunk.layer {
                Layer::FlipAlone => WrittenLayer::FlipAlone,
                Layer::FlippingHand => WrittenLayer::FlippingHand,
                Layer::OtherHandByFeel => WrittenLayer::OtherHandByFeel,
                Layer::Both => WrittenLayer::Both,
            },
            ladder: WrittenLadder::from(&chunk.ladder),
        }
    }
}

impl WrittenLessonChunk {
    fn read(&self, index: usize) -> Result<LessonChunk, DocumentError> {
        let place = format!("chunk {}", index + 1);
        Ok(LessonChunk {
            flip: self.flip.read(&place)?,
            size: self.size.into(),
            layer: match self.layer {
                WrittenLayer::FlipAlone => Layer::FlipAlone,
                WrittenLayer::FlippingHand => Layer::FlippingHand,
                WrittenLayer::OtherHandByFeel => Layer::OtherHandByFeel,
                WrittenLayer::Both => Layer::Both,
            },
            ladder: self.ladder.read(&place)?,
        })
    }
}

impl From<&LadderPlan> for WrittenLadder {
    fn from(ladder: &LadderPlan) -> WrittenLadder {
        WrittenLadder {
            start: ladder.start().into(),
            goal: ladder.goal().into(),
            step: match ladder.step() {
                RungStep::Beats(beats) => WrittenStep::Beats(beats),
                RungStep::PerCent(share) => WrittenStep::PerCent(share),
            },
            clean_to_climb: ladder.clean_to_climb(),
            scheme: match ladder.scheme() {
                Scheme::Climb => WrittenScheme::Climb,
                Scheme::Alternate => WrittenScheme::Alternate,
            },
        }
    }
}

impl WrittenLadder {
    fn read(&self, place: &str) -> Result<LadderPlan, DocumentError> {
        let start = self.start.read(&format!("{place}, ladder.start"))?;
        let goal = self.goal.read(&format!("{place}, ladder.goal"))?;
        let step = match self.step {
            WrittenStep::Beats(beats) => RungStep::Beats(beats),
            WrittenStep::PerCent(share) => RungStep::PerCent(share),
        };
        let scheme = match self.scheme {
            WrittenScheme::Climb => Scheme::Climb,
            WrittenScheme::Alternate => Scheme::Alternate,
        };
        // How far the goal may lie above the piece's own tempo is seen once the piece is open.
        LadderPlan::new(start, goal, goal, step, self.clean_to_climb, scheme).map_err(|error| {
            DocumentError::invalid(format!("{place}, ladder"), value(error), said!("a ladder that can be climbed"))
        })
    }
}

#[cfg(test)]
mod tests;
