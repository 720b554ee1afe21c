//! What helps against a problem: changes that the planner has itself tried and found to work.

mod candidates;

use super::{Change, Edit, Plan, Problem, ProblemKind, Request, Totals, WayOut, plan};
use crate::score::{NoteRef, Performance};
use crate::time::ScoreTime;
use candidates::Candidates;

/// So many plucks may be planned anew while ways out are tried: a second at the most where many hands are rushed.
const MOST_PLUCKS_PLANNED: usize = 28_000;
/// No piece is planned anew more often than this, be it ever so short.
const MOST_TRIALS: usize = 160;
/// However long a piece, this often it is.
const LEAST_TRIALS: usize = 12;
/// A problem shows no more ways out than this.
const MOST_WAYS: usize = 8;

/// Plans the flips of a piece as [`plan`] does, and looks for ways out of its problems.
///
/// Tried are, as far as they concern a problem: another string, a lever set beforehand, the other hand, an earlier place
/// with the string damped, a note taken by the other hand, a slower tempo, one string retuned, a left-hand note an octave
/// away, a note left out, the other usual tunings, other harps, and taking back a wish that can't be met. A way out is told
/// where the piece, planned anew with it, no longer has the problem and has neither more unplayable notes nor more rushed
/// gestures than before. They come best first: by the notes and rushed gestures that remain, then by how much of a change
/// they are, then by what the rest costs.
///
/// This plans the piece anew up to some hundred times: a window calls [`plan`] first and this on a thread of its own.
pub fn plan_with_ways_out(request: &Request<'_>) -> Plan {
    let mut found = plan(request);
    if found.problems.is_empty() {
        return found;
    }
    let candidates = Candidates::of(request, &found);
    let mut trials = Trials::new(request);
    // Every problem's likeliest way first, then every problem's second; what concerns all of them before that.
    for change in &candidates.shared {
        trials.run(change);
    }
    let rounds = candidates.own.iter().map(Vec::len).max().unwrap_or(0);
    for round in 0..rounds {
        for change in candidates.own.iter().filter_map(|own| own.get(round)) {
            trials.run(change);
        }
    }
    let ways: Vec<Vec<WayOut>> = (0..found.problems.len())
        .map(|index| trials.ways_out(&found, &found.problems[index], &candidates.own[index]))
        .collect();
    for (problem, ways) in found.problems.iter_mut().zip(ways) {
        problem.ways_out = ways;
    }
    found
}

/// One change tried.
struct Trial {
    change: Change,
    totals: Totals,
    /// What is still wrong with it.
    problems: Vec<Trouble>,
    is_shared: bool,
}

/// A problem by what doesn't change with the notes around it.
struct Trouble {
    kind: ProblemKind,
    at: ScoreTime,
    notes: Vec<(ScoreTime, NoteRef)>,
    /// The wish that can't be met.
    wish: Option<Edit>,
}

impl Trouble {
    fn of(problem: &Problem, performance: &Performance) -> Trouble {
        let notes = problem.plucks.iter().filter_map(|&pluck| performance.plucks().get(pluck));
        Trouble {
            kind: problem.kind,
            at: problem.at,
            notes: notes.map(|pluck| (pluck.at, pluck.note)).collect(),
            wish: problem.refused.map(|refused| refused.edit),
        }
    }

    fn is_same(&self, other: &Trouble) -> bool {
        (self.kind, self.wish) == (other.kind, other.wish)
            && (self.at == other.at || self.notes.iter().any(|note| other.notes.contains(note)))
    }
}

/// Changes tried, each once.
struct Trials<'a> {
    request: &'a Request<'a>,
    tried: Vec<(Change, Option<usize>)>,
    done: Vec<Trial>,
    left: usize,
}

impl<'a> Trials<'a> {
    fn new(request: &'a Request<'a>) -> Trials<'a> {
        let plucks = request.performance.plucks().len().max(1);
        let left = (MOST_PLUCKS_PLANNED / plucks).clamp(LEAST_TRIALS, MOST_TRIALS);
        Trials { request, tried: Vec::new(), done: Vec::new(), left }
    }

    fn run(&mut self, change: &Change) {
        if self.left == 0 || self.tried.iter().any(|(tried, _)| tried == change) {
            return;
        }
        let arrangement = change.applied(self.request);
        let trial = arrangement.map(|arrangement| {
            self.left -= 1;
            let plan = plan(&arrangement.request());
            let problems = plan.problems.iter().map(|problem| Trouble::of(problem, &arrangement.performance));
            let problems = problems.collect();
            self.done.push(Trial {
                change: change.clone(),
                totals: plan.totals,
                problems,
                is_shared: is_shared(change),
            });
            self.done.len() - 1
        });
        self.tried.push((change.clone(), trial));
    }

    /// The changes that help against a problem, best first.
    fn ways_out(&self, before: &Plan, problem: &Problem, own: &[Change]) -> Vec<WayOut> {
        let trouble = Trouble::of(problem, self.request.performance);
        let helping =
            |trial: &&Trial| (trial.is_shared || own.contains(&trial.change)) && helps(trial, before.totals, &trouble);
        let mut ways: Vec<&Trial> = self.done.iter().filter(helping).collect();
        ways.sort_by_key(|trial| {
            let (unplayable, rushed, work, comfort) = trial.totals.rank();
            (unplayable, rushed, trial.change.effort(), work, comfort)
        });
        ways.truncate(MOST_WAYS);
        ways.into_iter().map(|trial| WayOut { change: trial.change.clone(), totals: trial.totals }).collect()
    }
}

/// Whether a change may help against any problem, not only those it was thought of for.
fn is_shared(change: &Change) -> bool {
    matches!(change, Change::Tuning(_) | Change::Harp(..) | Change::NoFasterThan(_) | Change::Retune { .. })
}

/// Whether a change has got rid of a problem, and of none at the cost of others.
fn helps(trial: &Trial, before: Totals, trouble: &Trouble) -> bool {
    let after = trial.totals;
    let nothing_worse = after.unplayable <= before.unplayable && after.rushed <= before.rushed;
    let better = (after.unplayable, after.rushed) != (before.unplayable, before.rushed);
    nothing_worse
        && (better || trouble.kind == ProblemKind::EditNotMet)
        && !trial.problems.iter().any(|other| other.is_same(trouble))
}
