//! From decisions to the answer.

use super::bench::{Bench, Choice};
use super::cost::Cost;
use super::demand::{Ways, is_respelled};
use super::need::Need;
use super::placement::{Movement, movements, place};
use super::problems;
use super::strings::{StringChoice, needs_of};
use super::{Flip, Gesture, Plan, Proof, TopTempo, Totals};
use crate::harp::{LeverState, Setting};
use crate::time::Seconds;

/// Places the flips of a choice of strings and writes the whole plan down.
pub(super) fn plan(bench: &Bench<'_>, ways: &Ways, chosen: StringChoice) -> Plan {
    let request = bench.request;
    let (needs, begins) = needs_of(bench, &chosen.strings);
    // Only the reset of a loop can be without room: its string is plucked up to the very end.
    let (needs, roomless): (Vec<Need>, Vec<Need>) = needs.into_iter().partition(|need| bench.has_room(need));
    let placement = place(bench, &needs);
    let everyone: Vec<usize> = (0..placement.choices.len()).collect();
    let movements = movements(bench, &needs, &placement.choices, &everyone);
    let gestures: Vec<Gesture> =
        movements.iter().map(|movement| gesture(bench, &needs, &placement.choices, movement)).collect();

    let start = start_setting(bench, &begins);
    let mut end = start.clone();
    for flip in gestures.iter().flat_map(|gesture| &gesture.flips) {
        end.set(flip.string, flip.to);
    }
    let plucks = request.performance.plucks();
    let respelled = plucks
        .iter()
        .zip(&chosen.strings)
        .filter(|(pluck, way)| way.is_some_and(|(string, _)| is_respelled(request.harp, pluck, string)))
        .count();
    let comfort = super::placement::comfort(bench, &needs, &placement.choices);
    let count = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
    let totals = Totals {
        unplayable: count(chosen.strings.iter().filter(|way| way.is_none()).count()),
        rushed: count(gestures.iter().filter(|gesture| gesture.is_rushed()).count()),
        flips: count(needs.len() + roomless.len()),
        respelled: count(respelled),
        comfort,
    };
    let (unplayable, rushed, work, comfort) = totals.rank();
    let reached = Cost { unplayable, rushed, work, comfort };
    let proof = if !(chosen.is_exact && placement.is_exact) {
        Proof::CutShort
    } else if reached == chosen.cost && chosen.cost.rushed == 0 {
        Proof::BestPossible
    } else {
        Proof::BestPlacement
    };
    let mut plan = Plan { start, end, strings: chosen.strings, gestures, problems: Vec::new(), totals, proof };
    plan.problems = problems::find(bench, ways, &plan, &needs, &placement.choices, &roomless);
    plan
}

/// What the first demand of each string fixes; strings without any follow the key.
fn start_setting(bench: &Bench<'_>, begins: &[Option<LeverState>]) -> Setting {
    let mut start = Setting::for_key(bench.request.harp, bench.request.performance.key());
    for ((number, _), lever) in bench.request.harp.numbered().zip(begins) {
        if let Some(lever) = *lever {
            start.set(number, lever);
        }
    }
    start
}

fn gesture(bench: &Bench<'_>, needs: &[Need], choices: &[Choice], movement: &Movement) -> Gesture {
    let timing = movement.timing;
    let tempo = bench.request.tempo.tempo_at(movement.place.at);
    let flips = movement.flips.iter().filter_map(|&index| {
        let need = &needs[index];
        let string = bench.request.harp.string(need.string)?;
        Some(Flip { string: need.string, to: need.to, sounds: string.sounds(need.to), window: need.window })
    });
    let comfort = movement.flips.iter().map(|&index| choices[index].comfort_at(timing)).sum();
    Gesture {
        at: movement.place.at,
        played_bar: movement.place.played_bar,
        hand: movement.hand,
        flips: flips.collect(),
        needed: timing.needed,
        available: timing.slack.map(|slack| Seconds::new(timing.needed.get() * slack)),
        top_tempo: timing.slack.map(|slack| TopTempo { quarters_per_minute: tempo.quarters_per_minute() * slack }),
        comfort,
        locked: movement.flips.iter().any(|&index| bench.is_locked(&needs[index])),
    }
}
