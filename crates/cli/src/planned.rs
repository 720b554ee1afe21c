//! A piece with its plan: what several commands begin with.

use clap::Args;
use leverlane_core::harp::Harp;
use leverlane_core::plan::{self, EndOfPiece, HandPace, PaceLevel, Plan, Request};
use leverlane_core::score::{Hands, Performance, PlayingOrder, Score};
use leverlane_core::time::{Tempo, TempoMap};
use leverlane_formats::Warning;

use crate::harp_choice::HarpChoice;
use crate::refusal::Refusal;
use crate::score_choice::{HandsChoice, ScoreChoice};

/// Which piece is planned, for which harp and player.
#[derive(Debug, Args)]
pub struct PlanChoice {
    #[command(flatten)]
    pub score: ScoreChoice,
    #[command(flatten)]
    pub harp: HarpChoice,
    /// The tempo at the start in quarter notes a minute, 5 to 400; later changes keep their proportion. [default: as
    /// written]
    #[arg(long, value_name = "BPM", value_parser = tempo)]
    pub tempo: Option<Tempo>,
    /// How fast the player's hands are: beginner, improver, fluent or expert.
    #[arg(long, value_name = "LEVEL", default_value_t)]
    pub pace: PaceLevel,
    /// Who plays what: usual, staff, left, right or split=PITCH (from that pitch up right).
    #[arg(long, value_name = "RULE", default_value = "usual")]
    pub hands: HandsChoice,
}

/// A tempo from the command line.
///
/// # Errors
/// No number, or one outside 5–400.
pub fn tempo(text: &str) -> Result<Tempo, String> {
    let number = text.parse().map_err(|_| "expected a number of quarter notes a minute".to_owned())?;
    Tempo::quarters(number).map_err(|error| error.to_string())
}

/// A piece with its plan.
#[derive(Debug)]
pub struct Planned {
    /// The piece as written.
    pub score: Score,
    /// The order in which its bars are played.
    pub order: PlayingOrder,
    /// Which notes are the harp's, and in which hand.
    pub hands: Hands,
    /// The piece as played.
    pub performance: Performance,
    /// The player's harp.
    pub harp: Harp,
    /// The wanted tempo.
    pub tempo: TempoMap,
    /// How fast her hands are.
    pub pace: HandPace,
    /// What follows the end.
    pub ending: EndOfPiece,
    /// The plan.
    pub plan: Plan,
    /// What was read differently from how it stands.
    pub warnings: Vec<Warning>,
}

impl Planned {
    /// What the plan was asked for.
    pub fn request(&self) -> Request<'_> {
        let Planned { performance, harp, tempo, pace, ending, .. } = self;
        Request { performance, harp, tempo, pace, edits: &[], ending: *ending }
    }
}

/// A piece that was read, and everything its plan is made for.
#[derive(Debug)]
pub struct Piece {
    score: Score,
    order: PlayingOrder,
    hands: Hands,
    performance: Performance,
    harp: Harp,
    tempo: TempoMap,
    pace: HandPace,
    warnings: Vec<Warning>,
}

impl Piece {
    /// What to ask the planner.
    pub fn request(&self, ending: EndOfPiece) -> Request<'_> {
        let Piece { performance, harp, tempo, pace, .. } = self;
        Request { performance, harp, tempo, pace, edits: &[], ending }
    }
}

impl PlanChoice {
    /// Reads the score and plans it.
    ///
    /// # Errors
    /// As [`PlanChoice::read`].
    pub fn planned(&self, ending: EndOfPiece) -> Result<Planned, Refusal> {
        let piece = self.read()?;
        let plan = plan::plan_with_ways_out(&piece.request(ending));
        let Piece { score, order, hands, performance, harp, tempo, pace, warnings } = piece;
        Ok(Planned { score, order, hands, performance, harp, tempo, pace, ending, plan, warnings })
    }

    /// Reads the score.
    ///
    /// # Errors
    /// A file that holds no score or no harp, a part that the score doesn't have, a tempo that its later changes can't
    /// follow.
    pub fn read(&self) -> Result<Piece, Refusal> {
        let harp = self.harp.harp()?;
        let imported = self.score.read()?;
        let score = imported.score;
        let parts = self.score.parts(&score)?;
        let hands = Hands::assign(&score, &self.hands.rule(&score, parts));
        let performance = Performance::new(&score, &imported.order, &hands);
        let tempo = match self.tempo {
            None => performance.tempo().clone(),
            Some(opening) => performance.tempo().opening_at(opening).map_err(|error| {
                let place = format!("at --tempo {} a later change of tempo becomes", opening.per_minute());
                Refusal::of_file(&self.score.file(), format!("{place} {error}; take another --tempo"))
            })?,
        };
        let (order, warnings) = (imported.order, imported.warnings);
        Ok(Piece { score, order, hands, performance, harp, tempo, pace: HandPace::from(self.pace), warnings })
    }
}
