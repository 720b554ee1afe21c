//! A piece that is being written down from paper.

use std::path::Path;
use std::sync::Arc;

use leverlane_core::meter::Meter;
use leverlane_core::pitch::Key;
use leverlane_core::score::{Hand, Score};
use leverlane_core::time::{Tempo, Ticks};
use leverlane_engraving::DrawingId;
use leverlane_formats::abc::{PassageError, PassageSettings};
use leverlane_formats::documents::{self, Music, OpenError, Source};
use leverlane_formats::paper::{PaperError, PaperSettings};
use leverlane_formats::{Limits, Said};

use super::{Engraved, usual_harp};
use crate::words::Words;

/// What the player has typed so far.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    /// Which of the two ways.
    pub way: DraftWay,
    /// What the piece is called; may be empty.
    pub title: String,
    /// The meter, from [`Draft::METERS`].
    pub meter: usize,
    /// Beats of the meter a minute.
    pub per_minute: f64,
    /// Sharps of the key signature, flats below 0.
    pub fifths: i8,
    /// How many bars a bare passage has.
    pub bars: usize,
    /// The flips of a bare passage, a line each.
    pub flips: String,
    /// The right hand's notes.
    pub right: String,
    /// The left hand's notes.
    pub left: String,
}

/// How a piece is written down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DraftWay {
    /// The flips alone, without notes.
    Flips,
    /// The notes of both hands.
    Notes,
}

/// A draft as it is read and drawn while it is typed.
#[derive(Clone, Debug, Default)]
pub struct PaperDesk {
    /// What has been typed.
    pub draft: Draft,
    /// What it says, or what is wrong with it; none until something was typed.
    pub read: Option<Result<Arc<Music>, DraftFault>>,
    /// The notes as they were last read without a fault; none for flips alone.
    pub notes: Option<Arc<Score>>,
    /// What was asked of the engraver last, and how wide.
    asked: Option<(Arc<Score>, u32)>,
    /// Its drawing: the last good one while there is a fault.
    pub engraved: Engraved,
}

impl PaperDesk {
    /// Takes what has been typed, and reads it.
    pub(crate) fn use_draft(&mut self, draft: Draft, words: Words) {
        let is_empty = [&draft.flips, &draft.right, &draft.left].iter().all(|text| text.trim().is_empty());
        self.read = (!is_empty).then(|| draft.read(words).map(Arc::new));
        match (&self.read, draft.way) {
            (None, _) | (_, DraftWay::Flips) => self.notes = None,
            (Some(Ok(music)), DraftWay::Notes) => self.notes = Some(Arc::new(music.score.clone())),
            (Some(Err(_)), DraftWay::Notes) => {}
        }
        self.draft = draft;
    }

    /// Whether the drawing of the last good notes, so many staff spaces wide, is here or on its way.
    pub fn is_asked(&self, spaces: u32) -> bool {
        match (&self.asked, &self.notes) {
            (Some((asked, width)), Some(notes)) => Arc::ptr_eq(asked, notes) && *width == spaces,
            (_, notes) => notes.is_none(),
        }
    }

    /// Notes that a drawing is asked for, and gives what is to be drawn.
    pub(crate) fn ask(&mut self, id: DrawingId, spaces: u32) -> Option<Arc<Score>> {
        let notes = self.notes.clone()?;
        self.asked = Some((Arc::clone(&notes), spaces));
        self.engraved.wait_for(id);
        Some(notes)
    }

    /// The engraver has turned to something else: what is wanted has to be asked for again.
    pub(crate) fn ask_again(&mut self) {
        self.asked = None;
    }
}

/// What is wrong with what was typed, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DraftFault {
    /// Which text: 0 the flips or the right hand's notes, 1 the left hand's; none where it is in neither alone.
    pub text: Option<usize>,
    /// The line, from 1.
    pub line: usize,
    /// The column in characters, from 1.
    pub column: usize,
    /// What is wrong and what to do; the place is told beside it.
    pub reason: Said,
}

impl Draft {
    /// The meters that can be chosen: above, below.
    pub const METERS: [(u8, u32); 6] = [(4, 4), (3, 4), (2, 4), (6, 8), (9, 8), (12, 8)];

    fn meter(&self) -> Meter {
        let (above, below) = Self::METERS[self.meter.min(Self::METERS.len() - 1)];
        Meter::new(&[above], below).unwrap_or_else(|_| Meter::common())
    }

    /// The piece as it would be kept.
    pub fn document(&self, words: Words) -> documents::Piece {
        let title = match self.title.trim() {
            "" => words.text("paper-untitled"),
            title => title.to_owned(),
        };
        let meter = self.meter();
        let quarter = Ticks::QUARTER;
        let beat = if meter.is_compound() { Ticks::new(quarter.get() * 3 / 2) } else { quarter };
        let tempo = Tempo::beats(beat, self.per_minute).unwrap_or(Tempo::UNWRITTEN);
        let key = Key::from_fifths(self.fifths).unwrap_or(Key::NATURAL);
        let source = match self.way {
            DraftWay::Flips => Source::Passage {
                settings: PaperSettings { title: title.clone(), meter, tempo, key, bars: self.bars },
                flips: self.flips.clone(),
            },
            DraftWay::Notes => Source::Typed {
                settings: PassageSettings {
                    title: title.clone(),
                    meter,
                    unit: Ticks::new(quarter.get() / 2),
                    key,
                    tempo,
                },
                right: self.right.clone(),
                left: self.left.clone(),
            },
        };
        documents::Piece::new(title, source, usual_harp())
    }

    /// Its music, or what is wrong with it.
    ///
    /// # Errors
    /// The first thing that can't be understood, and where.
    pub fn read(&self, words: Words) -> Result<Music, DraftFault> {
        self.document(words).open(Path::new(""), &Limits::USUAL).map_err(|error| {
            let nowhere = |reason| DraftFault { text: None, line: 0, column: 0, reason };
            match error {
                OpenError::Passage(PaperError { line: 0, detail, .. }) => nowhere(detail.what()),
                OpenError::Passage(PaperError { line, column, detail }) => {
                    DraftFault { text: Some(0), line, column, reason: detail.what() }
                }
                OpenError::Typed(PassageError { hand: None, error, .. }) => nowhere(error.detail().what()),
                OpenError::Typed(PassageError { hand: Some(hand), line, column, error }) => {
                    let text = Some(usize::from(hand == Hand::Left));
                    DraftFault { text, line, column, reason: error.detail().what() }
                }
                other @ (OpenError::Source(_) | OpenError::Score(_)) => nowhere(other.said()),
            }
        })
    }
}

impl Default for Draft {
    fn default() -> Draft {
        Draft {
            way: DraftWay::Flips,
            title: String::new(),
            meter: 0,
            per_minute: 72.0,
            fifths: 0,
            bars: 16,
            flips: String::new(),
            right: String::new(),
            left: String::new(),
        }
    }
}
