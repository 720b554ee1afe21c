//! From decisions to the answer.

use super::bench::{Bench, Choice};
use super::demand::Ways;
use super::joint::{Decided, Placed};
use super::need::Need;
use super::placement::{Movement, movements};
use super::{Flip, Gesture, Plan, TopTempo};
use super::{problems, repeats};
use crate::harp::{LeverState, Setting, StringNumber};
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
        top_tempo: fastest(bench, needs, movement)
            .map(|times| TopTempo { quarters_per_minute: tempo.quarters_per_minute() * times }),
        comfort,
        locked: movement.flips.iter().any(|&index| bench.is_locked(&needs[index])),
    }
}

/// How many times as fast the piece may go with a movement where it is; none where nothing limits it.
fn fastest(bench: &Bench<'_>, needs: &[Need], movement: &Movement) -> Option<f64> {
    let (place, sounding) = (&movement.place, &bench.needs.sounding);
    let strings: Vec<StringNumber> = movement.flips.iter().map(|&flip| needs[flip].string).collect();
    let by_hand = bench.tracks.fastest(movement.hand, place, &strings, sounding);
    let by_lever = movement.follows.map(|previous| bench.tracks.slack_after(place, &previous, strings.len()));
    let by_string = movement.flips.iter().map(|&flip| bench.needs.fastest(&needs[flip], place));
    let fastest = by_hand.into_iter().chain(by_lever).chain(by_string).reduce(f64::min);
    fastest.filter(|times| times.is_finite())
}
