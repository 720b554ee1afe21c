//! The tempo ladder: from a slow start to the goal, a rung at a time.

use crate::time::{Tempo, TempoError, Ticks};

/// What became of a pass, as far as the ladder is concerned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PassResult {
    /// Clean.
    Clean,
    /// Not clean.
    Missed,
    /// Too little was heard to say; counts for nothing.
    Unheard,
}

/// How far one rung lies above the one below.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RungStep {
    /// So many beats a minute; 2 to 5 are usual (common practice).
    Beats(f64),
    /// So many per cent; about 5 is usual (common practice).
    PerCent(f64),
}

/// In which order slow and fast follow each other.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Scheme {
    /// Rung after rung.
    #[default]
    Climb,
    /// The start tempo and the goal in turns ("Practicing Tempo", thepracticeofpractice.com).
    Alternate,
}

/// How a ladder is set up. Made by [`LadderPlan::new`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LadderPlan {
    start: Tempo,
    goal: Tempo,
    step: RungStep,
    clean_to_climb: u8,
    scheme: Scheme,
}

/// A ladder that can't be set up.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum LadderError {
    /// The start lies above the goal.
    #[error("a ladder from {start} to {goal} beats a minute: expected a start no faster than the goal")]
    StartAboveGoal {
        /// The start, in the goal's beats.
        start: f64,
        /// The goal.
        goal: f64,
    },
    /// A step that is too small, too large or no number.
    #[error("a ladder step of {found}: expected 0.5 to 50 beats a minute, or 0.5 to 50 per cent")]
    Step {
        /// What was given.
        found: f64,
    },
    /// A number of clean passes that makes no sense.
    #[error("{found} clean passes to climb: expected 1 to 20")]
    CleanPasses {
        /// What was given.
        found: u8,
    },
    /// A goal too far above the piece's own tempo.
    #[error("a goal of {goal} beats a minute where the piece has {piece}: expected at most 5 per cent more")]
    GoalTooFast {
        /// What was given.
        goal: f64,
        /// The piece's tempo.
        piece: f64,
    },
    /// A tempo out of range.
    #[error(transparent)]
    Tempo(#[from] TempoError),
}

/// Steps from half a beat a minute (or half a per cent) up to fifty.
const STEPS: std::ops::RangeInclusive<f64> = 0.5..=50.0;

impl LadderPlan {
    /// How far over the piece's own tempo a goal may lie, as a factor: a little to spare makes the tempo itself easy
    /// (common practice).
    pub const HEADROOM: f64 = 1.05;

    /// A ladder from `start` to `goal`.
    ///
    /// # Errors
    /// A start above the goal, a goal too far above the piece's own tempo, a step or number of passes out of range.
    pub fn new(
        start: Tempo,
        goal: Tempo,
        piece: Tempo,
        step: RungStep,
        clean_to_climb: u8,
        scheme: Scheme,
    ) -> Result<LadderPlan, LadderError> {
        let beats = |tempo: Tempo| in_beats_of(tempo, goal.beat());
        if goal.quarters_per_minute() > piece.quarters_per_minute() * LadderPlan::HEADROOM + 1e-9 {
            return Err(LadderError::GoalTooFast { goal: beats(goal), piece: beats(piece) });
        }
        if start.quarters_per_minute() > goal.quarters_per_minute() {
            return Err(LadderError::StartAboveGoal { start: beats(start), goal: beats(goal) });
        }
        let (RungStep::Beats(found) | RungStep::PerCent(found)) = step;
        if !STEPS.contains(&found) {
            return Err(LadderError::Step { found });
        }
        if !(1..=20).contains(&clean_to_climb) {
            return Err(LadderError::CleanPasses { found: clean_to_climb });
        }
        Ok(LadderPlan { start, goal, step, clean_to_climb, scheme })
    }

    /// The usual ladder: from three fifths of the goal in steps of four beats, three clean passes to climb (common
    /// practice).
    ///
    /// # Errors
    /// None for goals whose three fifths can be played; [`LadderError::Tempo`] otherwise.
    pub fn usual(goal: Tempo) -> Result<LadderPlan, LadderError> {
        let slow = (goal.per_minute() * 0.6).round().min(goal.per_minute());
        let slowest = Tempo::SLOWEST / goal.beat().quarters();
        let start = Tempo::beats(goal.beat(), slow.max(slowest))?;
        LadderPlan::new(start, goal, goal, RungStep::Beats(4.0), 3, Scheme::Climb)
    }

    /// Where it begins.
    pub fn start(&self) -> Tempo {
        self.start
    }

    /// Where it leads.
    pub fn goal(&self) -> Tempo {
        self.goal
    }

    /// From rung to rung.
    pub fn step(&self) -> RungStep {
        self.step
    }

    /// Clean passes in a row that lead a rung up.
    pub fn clean_to_climb(&self) -> u8 {
        self.clean_to_climb
    }

    /// The order of tempos.
    pub fn scheme(&self) -> Scheme {
        self.scheme
    }

    /// The tempos of the rungs, slowest first; the last is the goal. All in the goal's beats.
    pub fn rungs(&self) -> Vec<Tempo> {
        let beat = self.goal.beat();
        let goal = self.goal.per_minute();
        let mut rungs = Vec::new();
        let mut tempo = in_beats_of(self.start, beat);
        while self.scheme == Scheme::Climb && tempo < goal - 1e-9 {
            rungs.extend(Tempo::beats(beat, tempo));
            tempo = match self.step {
                RungStep::Beats(beats) => tempo + beats,
                RungStep::PerCent(share) => tempo * (1.0 + share / 100.0),
            };
        }
        if self.scheme == Scheme::Alternate && tempo < goal {
            rungs.extend(Tempo::beats(beat, tempo));
        }
        rungs.push(self.goal);
        rungs
    }
}

fn in_beats_of(tempo: Tempo, beat: Ticks) -> f64 {
    tempo.quarters_per_minute() / beat.quarters()
}

/// What a pass has led to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Move {
    /// The same tempo again.
    Stays,
    /// To the next tempo up.
    Climbs,
    /// To a slower tempo.
    StepsBack,
    /// The goal is held: the ladder is finished.
    Reached,
    /// The ladder stops here: it does not go on by itself before the player has chosen something easier.
    Stops,
}

/// Misses running that lead a rung down (common practice).
pub const MISSES_TO_STEP_BACK: u8 = 2;
/// Steps back from one rung after which the ladder stops (a working value of ours): more of the same has not helped.
pub const STEPS_BACK_TO_STOP: u8 = 3;

/// Where a player stands on a ladder, and how she got on there.
#[derive(Clone, Debug, PartialEq)]
pub struct Ladder {
    plan: LadderPlan,
    rungs: Vec<Tempo>,
    rung: usize,
    clean: u8,
    missed: u8,
    /// Clean passes at the goal since the last miss there, for [`Scheme::Alternate`].
    clean_at_goal: u8,
    steps_back: Vec<u8>,
    ended: Option<Move>,
}

impl Ladder {
    /// At its foot.
    pub fn new(plan: LadderPlan) -> Ladder {
        let rungs = plan.rungs();
        let steps_back = vec![0; rungs.len()];
        Ladder { plan, rungs, rung: 0, clean: 0, missed: 0, clean_at_goal: 0, steps_back, ended: None }
    }

    /// On the highest rung that is no faster than a tempo; where an earlier session has left off.
    pub fn resumed_at(plan: LadderPlan, tempo: Tempo) -> Ladder {
        let mut ladder = Ladder::new(plan);
        let reachable = |rung: &&Tempo| rung.quarters_per_minute() <= tempo.quarters_per_minute() + 1e-9;
        if plan.scheme == Scheme::Climb {
            ladder.rung = ladder.rungs.iter().take_while(reachable).count().saturating_sub(1);
        }
        ladder
    }

    /// How it is set up.
    pub fn plan(&self) -> &LadderPlan {
        &self.plan
    }

    /// The tempo of the next pass.
    pub fn tempo(&self) -> Tempo {
        self.rungs.get(self.rung).copied().unwrap_or(self.plan.goal)
    }

    /// The rung, from 0.
    pub fn rung(&self) -> usize {
        self.rung
    }

    /// The tempos of all rungs.
    pub fn rungs(&self) -> &[Tempo] {
        &self.rungs
    }

    /// Clean passes in a row, of those that lead up.
    pub fn clean_in_a_row(&self) -> u8 {
        match self.plan.scheme {
            Scheme::Climb => self.clean,
            Scheme::Alternate => self.clean_at_goal,
        }
    }

    /// [`Move::Reached`] or [`Move::Stops`] once the ladder has ended.
    pub fn ended(&self) -> Option<Move> {
        self.ended
    }

    /// Counts a pass that was played at [`Ladder::tempo`]. An ended ladder stays ended.
    pub fn pass_over(&mut self, result: PassResult) -> Move {
        if let Some(ended) = self.ended {
            return ended;
        }
        let next = match result {
            PassResult::Unheard => Move::Stays,
            PassResult::Clean => self.clean_pass(),
            PassResult::Missed => self.missed_pass(),
        };
        if matches!(next, Move::Reached | Move::Stops) {
            self.ended = Some(next);
        }
        next
    }

    /// Goes on after [`Move::Stops`], something easier having been chosen: a rung lower, nothing counted.
    pub fn go_on(&mut self) {
        self.steps_back.fill(0);
        self.ended = None;
        self.stand_on(self.rung.saturating_sub(1));
    }

    fn clean_pass(&mut self) -> Move {
        self.clean = self.clean.saturating_add(1);
        self.missed = 0;
        let at_goal = self.rung + 1 == self.rungs.len();
        match self.plan.scheme {
            Scheme::Climb if self.clean < self.plan.clean_to_climb => Move::Stays,
            Scheme::Climb if at_goal => Move::Reached,
            Scheme::Climb => {
                self.stand_on(self.rung + 1);
                Move::Climbs
            }
            Scheme::Alternate if at_goal => {
                self.clean_at_goal += 1;
                if self.clean_at_goal >= self.plan.clean_to_climb {
                    return Move::Reached;
                }
                self.turn_back()
            }
            Scheme::Alternate => {
                self.rung = self.rungs.len() - 1;
                Move::Climbs
            }
        }
    }

    /// After a clean pass at the goal the slow tempo follows, if there is one.
    fn turn_back(&mut self) -> Move {
        if self.rungs.len() == 1 {
            return Move::Stays;
        }
        self.rung = 0;
        Move::StepsBack
    }

    fn missed_pass(&mut self) -> Move {
        self.clean = 0;
        self.missed = self.missed.saturating_add(1);
        let at_goal = self.rung + 1 == self.rungs.len();
        if at_goal {
            self.clean_at_goal = 0;
        }
        let lower = match self.plan.scheme {
            Scheme::Alternate if at_goal && self.rungs.len() > 1 => Some(0),
            Scheme::Climb => self.rung.checked_sub(1),
            Scheme::Alternate => None,
        };
        // Alternating, a miss at the goal is always followed by the slow tempo, and counts as a step back.
        let alternates = self.plan.scheme == Scheme::Alternate && lower.is_some();
        if self.missed < MISSES_TO_STEP_BACK && !alternates {
            return Move::Stays;
        }
        self.missed = 0;
        let steps_back = &mut self.steps_back[self.rung];
        *steps_back += 1;
        if *steps_back >= STEPS_BACK_TO_STOP {
            return Move::Stops;
        }
        match lower {
            Some(lower) => {
                self.stand_on(lower);
                Move::StepsBack
            }
            None => Move::Stays,
        }
    }

    fn stand_on(&mut self, rung: usize) {
        self.rung = rung;
        self.clean = 0;
        self.missed = 0;
    }
}
