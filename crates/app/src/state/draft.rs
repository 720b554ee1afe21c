//! A piece that is being written down from paper.

use leverlane_core::meter::Meter;
use leverlane_core::pitch::Key;
use leverlane_core::time::{Tempo, Ticks};
use leverlane_formats::Limits;
use leverlane_formats::abc::PassageSettings;
use leverlane_formats::documents::{self, Music, OpenError, Source};
use leverlane_formats::paper::PaperSettings;
use std::path::Path;

use super::usual_harp;
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

/// What is wrong with what was typed, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DraftFault {
    /// Which text: 0 the flips or the right hand's notes, 1 the left hand's; none where it is in neither alone.
    pub text: Option<usize>,
    /// The line, from 1.
    pub line: usize,
    /// The column in characters, from 1.
    pub column: usize,
    /// What is wrong and what to do.
    pub reason: String,
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
            let reason = error.to_string();
            match error {
                OpenError::Passage(fault) => {
                    DraftFault { text: (fault.line > 0).then_some(0), line: fault.line, column: fault.column, reason }
                }
                OpenError::Typed(fault) => {
                    let text = fault.hand.map(|hand| usize::from(hand == leverlane_core::score::Hand::Left));
                    DraftFault { text, line: fault.line, column: fault.column, reason }
                }
                OpenError::Source(_) | OpenError::Score(_) => DraftFault { text: None, line: 0, column: 0, reason },
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
