//! A piece with its plan: what several commands begin with.

use clap::Args;
use leverlane_core::harp::Harp;
use leverlane_core::plan::{
    self, BareRequest, Edit, EndOfPiece, HandPace, Pace, Plan, Request, UnmetMark, UnmetMarkReason, WantedFlip,
    bare_plan, edits_of_marks, with_edit,
};
use leverlane_core::score::{Hands, Note, Performance, PlayingOrder, Score, cue_line};
use leverlane_core::time::{Tempo, TempoMap};
use leverlane_formats::documents::Music;
use leverlane_formats::{Said, Warning};

use crate::harp_choice::HarpChoice;
use crate::refusal::Refusal;
use crate::score_choice::{Opened, ScoreChoice};

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
    /// How fast the player's hands are: beginner, improver, fluent or expert, or 0.5 to 3 times the times of fluent ones.
    /// [default: fluent, or the piece document's]
    #[arg(long, value_name = "PACE")]
    pub pace: Option<Pace>,
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
    /// What is kept as a cue line.
    pub cues: Vec<Note>,
    /// The piece as played.
    pub performance: Performance,
    /// The player's harp.
    pub harp: Harp,
    /// The wanted tempo.
    pub tempo: TempoMap,
    /// How fast her hands are.
    pub pace: HandPace,
    /// The same in a word.
    pub said_pace: Pace,
    /// What follows the end.
    pub ending: EndOfPiece,
    /// Her own decisions, those marked in the score first.
    pub edits: Vec<Edit>,
    /// The plan.
    pub plan: Plan,
    /// What was read differently from how it stands.
    pub warnings: Vec<Warning>,
}

impl Planned {
    /// What the plan was asked for.
    pub fn request(&self) -> Request<'_> {
        let Planned { performance, harp, tempo, pace, edits, ending, .. } = self;
        Request { performance, harp, tempo, pace, edits, ending: *ending }
    }
}

/// A piece that was read, and everything its plan is made for.
#[derive(Debug)]
pub struct ToPlan {
    score: Score,
    order: PlayingOrder,
    hands: Hands,
    cues: Vec<Note>,
    performance: Performance,
    harp: Harp,
    tempo: TempoMap,
    said_pace: Pace,
    pace: HandPace,
    edits: Vec<Edit>,
    /// The flips of a bare passage.
    flips: Option<Vec<WantedFlip>>,
    /// Whether a piece document has the piece begin again after its end.
    again: bool,
    warnings: Vec<Warning>,
}

impl ToPlan {
    /// The score's title; empty where it has none.
    pub fn title(&self) -> &str {
        self.score.title()
    }

    /// What to ask the planner.
    pub fn request(&self, ending: EndOfPiece) -> Request<'_> {
        let ToPlan { performance, harp, tempo, pace, edits, .. } = self;
        Request { performance, harp, tempo, pace, edits, ending }
    }
}

impl PlanChoice {
    /// Reads the music and plans it, so that it ends as its document says.
    ///
    /// # Errors
    /// As [`PlanChoice::read`].
    pub fn planned_as_saved(&self) -> Result<Planned, Refusal> {
        let piece = self.read()?;
        let ending = if piece.again { EndOfPiece::Loop } else { EndOfPiece::Stop };
        Ok(planned(piece, ending))
    }

    /// Reads the music and plans it.
    ///
    /// # Errors
    /// As [`PlanChoice::read`].
    pub fn planned(&self, ending: EndOfPiece) -> Result<Planned, Refusal> {
        Ok(planned(self.read()?, ending))
    }

    /// Reads the music.
    ///
    /// # Errors
    /// A file that holds no score or no harp, a part that the score doesn't have, a tempo that its later changes can't
    /// follow.
    pub fn read(&self) -> Result<ToPlan, Refusal> {
        let opened = self.score.open()?;
        let (rule, line) = (self.score.hand_rule(&opened)?, self.score.cue_line(&opened)?);
        let hands = Hands::assign(&opened.music.score, &rule);
        let cues = cue_line(&opened.music.score, &rule.parts(&opened.music.score), line);
        let Opened { music, document, .. } = opened;
        let harp = self.harp.document(document.as_ref().map(|document| &document.harp))?.harp();
        let Music { score, order, mut warnings, flips } = music;
        let mut performance = Performance::new(&score, &order, &hands).guided_by(&cues);
        let (mut decided, mut again) = (Vec::new(), false);
        if let Some(document) = &document {
            performance = performance.rewritten(&document.rewrites).performance;
            decided.clone_from(&document.edits);
            again = document.ending == EndOfPiece::Loop;
        }
        let marked = edits_of_marks(&score.markings().levers, &performance, &harp);
        warnings.extend(marked.unmet.iter().map(|unmet| unmet_mark(&score, unmet)));
        // What the player decided later takes the place of what the score says.
        let edits = decided.into_iter().fold(marked.edits, |edits, edit| with_edit(&edits, edit));
        let tempo = match self.tempo.or(document.as_ref().and_then(|document| document.tempo)) {
            None => performance.tempo().clone(),
            Some(opening) => performance.tempo().opening_at(opening).map_err(|error| {
                let place = format!("at a tempo of {} a later change of tempo becomes", opening.per_minute());
                Refusal::of_file(&self.score.file(), format!("{place} {error}; take another --tempo"))
            })?,
        };
        let said_pace = self.pace.or(document.map(|document| document.pace)).unwrap_or_default();
        let pace = HandPace::from(said_pace);
        Ok(ToPlan {
            score,
            order,
            hands,
            cues,
            performance,
            harp,
            tempo,
            said_pace,
            pace,
            edits,
            flips,
            again,
            warnings,
        })
    }
}

fn planned(piece: ToPlan, ending: EndOfPiece) -> Planned {
    let ToPlan { performance, harp, tempo, pace, .. } = &piece;
    let plan = match &piece.flips {
        Some(flips) => bare_plan(&BareRequest { performance, harp, tempo, pace, flips }).plan,
        None => plan::plan_with_ways_out(&piece.request(ending)),
    };
    let ToPlan { score, order, hands, cues, performance, harp, tempo, said_pace, pace, edits, warnings, .. } = piece;
    Planned { score, order, hands, cues, performance, harp, tempo, pace, said_pace, ending, edits, plan, warnings }
}

/// A lever mark of the score that means nothing for this harp.
fn unmet_mark(score: &Score, unmet: &UnmetMark) -> Warning {
    let mark = score.markings().levers.get(unmet.mark);
    let sign = |alter| ["♭", "♮", "♯"][usize::try_from(i8::clamp(alter, -1, 1) + 1).unwrap_or(1)];
    let name = mark.map_or_else(String::new, |mark| {
        let octave = mark.octave.map_or_else(String::new, |octave| octave.to_string());
        format!("{}{}{octave}", mark.letter, sign(mark.alter))
    });
    let why = match unmet.why {
        UnmetMarkReason::NothingToFlip => "changes nothing and is read as a reminder",
        UnmetMarkReason::OnItsNote => "stands on the very note that needs the flip, which is planned before it instead",
        UnmetMarkReason::NoSuchString => "asks for what no string of this harp can sound",
    };
    Warning { bar: mark.map(|mark| mark.bar), reason: Said::quoted(format!("the lever mark {name} {why}")) }
}
