//! What helps against a problem: changes that the planner has itself tried and found to work.

use std::collections::BTreeMap;

use super::{Plan, Problem, ProblemKind, Request, WayOut, plan};
use crate::harp::Tuning;
use crate::time::Tempo;

/// No more slower tempos than this are tried for one piece; the problems after that go without.
const MOST_TEMPOS: usize = 12;

/// Plans the flips of a piece as [`plan`] does, and looks for ways out of its problems: a slower tempo for a rushed
/// gesture, and every other usual tuning. A way out is told where the piece, planned anew with it, no longer has the
/// problem and has neither more unplayable notes nor more rushed gestures than before.
pub fn plan_with_ways_out(request: &Request<'_>) -> Plan {
    let mut found = plan(request);
    if found.problems.is_empty() {
        return found;
    }
    let retuned = other_tunings(request);
    let mut slower: BTreeMap<u32, Option<Plan>> = BTreeMap::new();
    for index in 0..found.problems.len() {
        let problem = &found.problems[index];
        let mut ways_out = Vec::new();
        if problem.kind == ProblemKind::Rushed
            && let Some(limit) = tempo_limit(request, &found, problem)
            && (slower.contains_key(&limit) || slower.len() < MOST_TEMPOS)
            && let Ok(tempo) = Tempo::quarters(f64::from(limit))
            && let Some(plan) = slower.entry(limit).or_insert_with(|| at_tempo(request, tempo))
            && helps(plan, &found, problem)
        {
            ways_out.push(WayOut::NoFasterThan(tempo));
        }
        let tunings = retuned.iter().filter(|(_, plan)| helps(plan, &found, problem));
        ways_out.extend(tunings.map(|&(tuning, _)| WayOut::Tuning(tuning)));
        found.problems[index].ways_out = ways_out;
    }
    found
}

/// The fastest whole opening tempo, in quarter notes a minute, at which a rushed gesture is in time where it stands.
fn tempo_limit(request: &Request<'_>, plan: &Plan, problem: &Problem) -> Option<u32> {
    let gesture = plan.gestures.iter().find(|gesture| gesture.at == problem.at && gesture.is_rushed())?;
    let here = request.tempo.tempo_at(gesture.at).quarters_per_minute();
    let opening = request.tempo.opening().quarters_per_minute();
    let limit = (opening * gesture.top_tempo?.quarters_per_minute / here).floor();
    (Tempo::SLOWEST..=Tempo::FASTEST).contains(&limit).then_some(limit as u32)
}

fn at_tempo(request: &Request<'_>, opening: Tempo) -> Option<Plan> {
    let tempo = request.tempo.opening_at(opening).ok()?;
    Some(plan(&Request { tempo: &tempo, ..*request }))
}

/// The piece planned on the same harp in every other usual tuning.
fn other_tunings(request: &Request<'_>) -> Vec<(Tuning, Plan)> {
    let tunings = Tuning::ALL.into_iter().filter_map(|tuning| {
        let harp = request.harp.retuned(tuning).ok().filter(|harp| harp != request.harp)?;
        Some((tuning, plan(&Request { harp: &harp, ..*request })))
    });
    tunings.collect()
}

/// Whether a plan has got rid of a problem, and of none at the cost of others.
fn helps(plan: &Plan, before: &Plan, problem: &Problem) -> bool {
    let same = |other: &Problem| {
        other.kind == problem.kind
            && (other.at == problem.at || other.plucks.iter().any(|pluck| problem.plucks.contains(pluck)))
    };
    (plan.totals.unplayable, plan.totals.rushed) < (before.totals.unplayable, before.totals.rushed)
        && !plan.problems.iter().any(same)
}
