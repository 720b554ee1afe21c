//! From decisions to the answer.

use super::bench::{Bench, Choice};
use super::demand::Ways;
use super::joint::{Decided, Placed};
use super::need::Need;
use super::placement::{Movement, movements};
use super::{Flip, Gesture, Plan, TopTempo};
use super::{problems, repeats};
use crate::harp::{LeverState, Setting};
use crate::time::Seconds;

/// Writes the whole plan down.
pub(super) fn plan(bench: &Bench<'_>, ways: &Ways, decided: Decided) -> Plan {
    let Decided { strings, placed, proof } = decided;
    let Placed { needs, roomless, begins, choices, totals, .. } = placed;
    let everyone: Vec<usize> = (0..choices.len()).collect();
    let movements = movements(bench, &needs, &choices, &everyone);
    let gestures: Vec<Gesture> = movements.iter().map(|movement| gesture(bench, &needs, &choices, movement)).collect();

    let start = start_setting(bench, &begins);
    let mut end = start.clone();
    for flip in gestures.iter().flat_map(|gesture| &gesture.flips) {
        end.set(flip.string, flip.to);
    }
    let repeats = repeats::differences(bench.request.performance, &gestures, &strings);
    let mut plan = Plan { start, end, strings, gestures, problems: Vec::new(), repeats, totals, proof };
    plan.problems = problems::find(bench, ways, &plan, &needs, &choices, &roomless);
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
