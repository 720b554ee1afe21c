//! The open piece and the plan made of it.

use std::path::PathBuf;
use std::sync::Arc;

use leverlane_core::harp::Harp;
use leverlane_core::plan::{Plan, UnmetMark, WantedFlip};
use leverlane_core::score::{HandRule, Hands, Note, Performance, PlayingOrder, Score, cue_line};
use leverlane_core::time::TempoMap;
use leverlane_formats::Warning;
use leverlane_formats::documents::{Lesson, Music, Sha256, Source};

use super::Wishes;
use crate::words::Words;

/// Where a piece comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Origin {
    /// The piece that comes with the program.
    Demo,
    /// A file of the player's.
    File(PathBuf),
    /// Bytes dropped on the window, with the name they came under.
    Dropped(String),
}

impl Origin {
    /// The file it is.
    pub fn path(&self) -> Option<PathBuf> {
        match self {
            Origin::File(path) => Some(path.clone()),
            Origin::Demo | Origin::Dropped(_) => None,
        }
    }

    /// What to call it where the piece has no title of its own.
    pub fn name(&self, words: Words) -> String {
        match self {
            Origin::Demo => words.text("demo-piece"),
            Origin::File(path) => path
                .file_name()
                .map_or_else(|| path.to_string_lossy().into_owned(), |name| name.to_string_lossy().into_owned()),
            Origin::Dropped(name) => name.clone(),
        }
    }
}

/// A piece as read and as played.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Where it came from.
    pub origin: Origin,
    /// Its music as it goes into a piece document.
    pub source: Arc<Source>,
    /// The written music.
    pub score: Score,
    /// The order in which its bars are played.
    pub order: PlayingOrder,
    /// The piece as it is played once through.
    pub performance: Performance,
    /// The flips of a bare passage; none for a piece with notes.
    pub flips: Option<Vec<WantedFlip>>,
    /// What the reader had to leave out or bend.
    pub warnings: Vec<Warning>,
    /// The lesson that it came in, if it did.
    pub lesson: Option<Arc<Lesson>>,
}

impl Piece {
    /// A piece of what a reader gave, hands given by a rule.
    pub fn new(origin: Origin, source: Source, music: Music, rule: &HandRule) -> Piece {
        let Music { score, order, warnings, flips } = music;
        let hands = Hands::assign(&score, rule);
        let performance = Performance::new(&score, &order, &hands);
        Piece { origin, source: Arc::new(source), score, order, performance, flips, warnings, lesson: None }
    }

    /// A fingerprint of its music, by which the diary knows it again; of what was typed, by what was typed.
    pub fn digest(&self) -> String {
        match &*self.source {
            Source::Inside { bytes, .. } => Sha256::of(bytes).to_string(),
            Source::File { sha256, .. } => sha256.to_string(),
            typed @ (Source::Passage { .. } | Source::Typed { .. }) => {
                Sha256::of(format!("{typed:?}").as_bytes()).to_string()
            }
        }
    }

    /// The same piece as part of a lesson.
    pub fn in_lesson(self, lesson: Arc<Lesson>) -> Piece {
        Piece { lesson: Some(lesson), ..self }
    }

    /// The same piece as the player wants it: its notes given to hands by her rule, and changed where she changes them;
    /// with her cue line.
    pub fn arranged(&self, wishes: &Wishes) -> Piece {
        let hands = Hands::assign(&self.score, &wishes.hands);
        let performance = Performance::new(&self.score, &self.order, &hands);
        let performance = performance.rewritten(&wishes.rewrites).performance.guided_by(&self.cue_line(wishes));
        Piece { performance, ..self.clone() }
    }

    /// What another player sounds, as far as the player wants to see and hear it.
    pub fn cue_line(&self, wishes: &Wishes) -> Vec<Note> {
        cue_line(&self.score, &wishes.hands.parts(&self.score), wishes.cue_line)
    }

    /// Its title, or else the name of what it came from.
    pub fn title(&self, words: Words) -> String {
        if self.score.title().trim().is_empty() { self.origin.name(words) } else { self.score.title().to_owned() }
    }

    /// The printed number of a bar of the performance; empty where there is no such bar.
    pub fn bar_number(&self, played_bar: usize) -> &str {
        self.performance
            .bars()
            .get(played_bar)
            .and_then(|played| self.score.bar(played.bar))
            .map_or("", |bar| bar.number.as_str())
    }
}

/// A plan with what it was made for.
#[derive(Clone, Debug, PartialEq)]
pub struct Planned {
    /// The harp.
    pub harp: Harp,
    /// The tempo the plan must hold at.
    pub goal: TempoMap,
    /// The plan.
    pub plan: Plan,
    /// Lever marks of the score that became no decision on this harp.
    pub unmet: Vec<UnmetMark>,
}
