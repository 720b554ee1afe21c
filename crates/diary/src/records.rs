//! What is written down.

use leverlane_core::drill::{ChunkSize, CueLevel, Day, Layer};
use leverlane_core::harp::{LeverState, StringNumber};
use leverlane_core::time::Tempo;
use leverlane_core::verdict::{FlipOutcome, NoteOutcome, Steadiness, Verdict};

/// A piece in the diary.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PieceId(pub(crate) i64);

/// A flip in the diary.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FlipId(pub(crate) i64);

/// A session in the diary.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SessionId(pub(crate) i64);

/// How a piece is known: two files of one digest are one piece.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PieceName {
    /// What it is called.
    pub title: String,
    /// A digest of its music.
    pub digest: String,
}

/// How a flip is known within its piece.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FlipName {
    /// The played bar, from 0.
    pub played_bar: u32,
    /// Where in the piece it is made, in ticks from the start of playing.
    pub at_ticks: i64,
    /// The string.
    pub string: StringNumber,
    /// Where its lever goes.
    pub to: LeverState,
    /// What the player calls it: "bar 12, beat 4: C5 up".
    pub words: String,
}

/// A flip as it stands in the diary.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FlipEntry {
    /// Its number there.
    pub id: FlipId,
    /// Its piece's title.
    pub piece: String,
    /// What the player calls it.
    pub words: String,
}

/// One pass, with its settings and figures.
#[derive(Clone, Debug, PartialEq)]
pub struct PassRecord {
    /// When it was over: seconds since 1 January 1970, UTC.
    pub at: i64,
    /// The player's own day.
    pub day: Day,
    /// How long it lasted, in milliseconds.
    pub lasted_ms: u32,
    /// Its tempo.
    pub tempo: Tempo,
    /// The tempo that is worked for.
    pub goal: Tempo,
    /// Clean passes in a row that count as holding a tempo.
    pub clean_to_hold: u8,
    /// What was played.
    pub layer: Layer,
    /// How much music there was around the flip.
    pub size: ChunkSize,
    /// What was cued.
    pub cues: CueLevel,
    /// Whether it was clean.
    pub steady: Steadiness,
    /// What became of the flip.
    pub outcome: FlipOutcome,
    /// Notes expected, missed and extra.
    pub notes: [u16; 3],
    /// The median time error, in microseconds.
    pub bias_us: Option<i32>,
    /// The spread of the time errors, in microseconds.
    pub spread_us: Option<i32>,
    /// The hesitation at the flip, in microseconds.
    pub hesitation_us: Option<i32>,
    /// The same in thousandths of the beat.
    pub hesitation_of_beat: Option<i32>,
}

impl PassRecord {
    /// Fills in the figures of a verdict; `flip` is the practised one's place among its flips.
    pub fn with_verdict(mut self, verdict: &Verdict, flip: usize) -> PassRecord {
        let microseconds = |seconds: f64| (seconds * 1e6).round() as i32;
        let missed = verdict.notes.iter().filter(|note| note.outcome == NoteOutcome::Missed).count();
        let count = |count: usize| u16::try_from(count).unwrap_or(u16::MAX);
        let own = verdict.flips.get(flip);
        let hesitation = own.and_then(|flip| flip.hesitation).or(verdict.hesitation);
        self.steady = verdict.steady;
        self.outcome = own.map_or(FlipOutcome::Unheard, |flip| flip.outcome);
        self.notes = [count(verdict.notes.len()), count(missed), count(verdict.extra.len())];
        self.bias_us = verdict.bias.map(|bias| microseconds(bias.get()));
        self.spread_us = verdict.spread.map(|spread| microseconds(spread.get()));
        self.hesitation_us = hesitation.map(|hesitation| microseconds(hesitation.longer_by.get()));
        self.hesitation_of_beat = hesitation.map(|hesitation| (hesitation.of_beat * 1000.0).round() as i32);
        self
    }
}

/// Numbers by which choices are written down; they never change their meaning.
pub(crate) mod codes {
    use super::*;

    pub(crate) fn layer(layer: Layer) -> u8 {
        match layer {
            Layer::FlipAlone => 0,
            Layer::FlippingHand => 1,
            Layer::OtherHandByFeel => 2,
            Layer::Both => 3,
        }
    }

    pub(crate) fn size(size: ChunkSize) -> u8 {
        match size {
            ChunkSize::FlipBar => 0,
            ChunkSize::BarEachSide => 1,
            ChunkSize::TwoBarsEachSide => 2,
            ChunkSize::WholePiece => 3,
            ChunkSize::Bars { .. } => 4,
        }
    }

    pub(crate) fn cues(cues: CueLevel) -> u8 {
        match cues {
            CueLevel::Everything => 0,
            CueLevel::ToneOnly => 1,
            CueLevel::ClickOnly => 2,
            CueLevel::ClickEveryOtherBar => 3,
            CueLevel::CountInOnly => 4,
        }
    }

    pub(crate) fn steady(steady: Steadiness) -> u8 {
        match steady {
            Steadiness::NotYet => 0,
            Steadiness::Steady => 1,
            Steadiness::Unheard => 2,
        }
    }

    pub(crate) fn outcome(outcome: FlipOutcome) -> u8 {
        match outcome {
            FlipOutcome::Clean => 0,
            FlipOutcome::Late => 1,
            FlipOutcome::Half => 2,
            FlipOutcome::Missed => 3,
            FlipOutcome::Unheard => 4,
        }
    }

    /// Thousandths of a quarter note a minute.
    pub(crate) fn tempo(tempo: Tempo) -> i64 {
        (tempo.quarters_per_minute() * 1000.0).round() as i64
    }
}
