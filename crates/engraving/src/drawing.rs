//! A drawing: systems of notation, and where on them everything stands.
//!
//! All places are in staff spaces (the distance between two lines of a staff), from the left and from the top of their
//! system, so that they hold at whatever size the picture is shown.

use std::ops::Range;

use leverlane_core::plan::{FlipMark, StartList};
use leverlane_core::score::{BarIndex, Hands, Note, NoteRef, Score};
use leverlane_formats::{MusicXmlSource, OtherParts, write_musicxml};

use crate::engine::{Engine, PageSize};
use crate::onsets::OnsetMap;
use crate::{EngravingError, svg};

/// What is to be drawn: both hands of the harp on two staves, and above them the cue line if there is one.
#[derive(Clone, Debug, PartialEq)]
pub struct Music {
    /// The written music.
    pub score: Score,
    /// Which notes are the harp's, and in which hand.
    pub hands: Hands,
    /// What another player sounds, for a small staff above: see [`leverlane_core::score::cue_line`].
    pub cues: Vec<Note>,
    /// Which bars, by their index.
    pub bars: Range<usize>,
    /// The flips to print on their beats.
    pub marks: Vec<FlipMark>,
    /// The list of set levers to print at the head, if wanted.
    pub start: Option<StartList>,
}

/// Drawn music.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// The systems from the first to the last; at least one.
    pub systems: Vec<System>,
}

/// One line of music across the page.
#[derive(Clone, Debug, PartialEq)]
pub struct System {
    /// The drawing itself, black on nothing.
    pub(crate) svg: String,
    /// A number made of the drawing's content: equal drawings have the same.
    pub(crate) fingerprint: u64,
    /// How wide it is.
    pub width: f32,
    /// How high.
    pub height: f32,
    /// Its staves from the top: where their highest and lowest lines lie.
    pub staves: Vec<Span>,
    /// Its bars in order.
    pub bars: Vec<BarBox>,
    /// Its notes.
    pub notes: Vec<NoteBox>,
    /// Where its onsets stand.
    pub onsets: OnsetMap,
}

/// From one place to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// The nearer end.
    pub from: f32,
    /// The farther end.
    pub to: f32,
}

/// A bar in a system.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BarBox {
    /// The bar.
    pub bar: BarIndex,
    /// From its left to its right bar line.
    pub across: Span,
    /// Where its music begins: after clef, key and meter.
    pub music: f32,
}

/// A note's head.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NoteBox {
    /// The note.
    pub note: NoteRef,
    /// Its left and right edges.
    pub across: Span,
    /// Its top and bottom edges.
    pub down: Span,
}

impl Span {
    /// The place half-way.
    pub fn middle(self) -> f32 {
        self.from.midpoint(self.to)
    }
}

impl Drawing {
    /// Draws music.
    ///
    /// # Errors
    /// Where the engine refuses it or draws something unexpected.
    pub(crate) fn of(music: &Music, size: PageSize, engine: &mut Engine) -> Result<Drawing, EngravingError> {
        let source = MusicXmlSource {
            score: &music.score,
            hands: &music.hands,
            cues: &music.cues,
            bars: music.bars.clone(),
            marks: &music.marks,
            start: music.start.as_ref(),
            others: OtherParts::LeftOut,
        };
        let written = write_musicxml(&source);
        for warning in &written.warnings {
            log::info!("bar index {:?}: {}", warning.bar.map(BarIndex::get), warning.reason);
        }
        Drawing::of_document(&written.text, &music.score, size, engine)
    }

    /// Draws a document of our writer's making.
    ///
    /// # Errors
    /// As [`Drawing::of`].
    pub(crate) fn of_document(
        musicxml: &str,
        score: &Score,
        size: PageSize,
        engine: &mut Engine,
    ) -> Result<Drawing, EngravingError> {
        let pages = engine.systems(musicxml, size)?;
        let systems = pages.iter().map(|page| svg::system(page, score)).collect::<Result<Vec<_>, _>>()?;
        if systems.iter().all(|system| system.bars.is_empty()) {
            return Err(EngravingError::Drawing("no bar is in it".to_owned()));
        }
        Ok(Drawing { systems })
    }

    /// The system that shows a bar, by its place in [`Drawing::systems`].
    pub fn system_of(&self, bar: BarIndex) -> Option<usize> {
        self.systems.iter().position(|system| system.bars.iter().any(|shown| shown.bar == bar))
    }
}
