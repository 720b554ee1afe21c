//! A plan without notes: flips that the player knows from her paper, at the places where she wants them.

use std::collections::BTreeMap;

use super::{
    Change, Flip, Gesture, HandPace, Plan, Problem, ProblemKind, Proof, TopTempo, Totals, WayOut, Window, repeats,
};
use crate::harp::{Harp, LeverState, Setting, StringNumber};
use crate::pitch::SpelledPitch;
use crate::score::{BarIndex, Hand, Performance};
use crate::time::{ScoreTime, Seconds, Tempo, TempoMap, Ticks};

/// A flip at a place, as it stands on paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WantedFlip {
    /// The written bar.
    pub bar: BarIndex,
    /// Where in that bar, from its beginning.
    pub at: Ticks,
    /// Names the string by letter and octave; an accidental says nothing more.
    pub string: SpelledPitch,
    /// Where its lever goes.
    pub to: LeverState,
    /// The hand that moves it.
    pub hand: Hand,
}

/// What a bare plan is made from.
#[derive(Clone, Copy, Debug)]
pub struct BareRequest<'a> {
    /// The bars as they are played; its notes count for nothing here.
    pub performance: &'a Performance,
    /// The player's harp.
    pub harp: &'a Harp,
    /// The tempo she wants, on the performance's score time.
    pub tempo: &'a TempoMap,
    /// How fast her hands are.
    pub pace: &'a HandPace,
    /// The flips, in any order.
    pub flips: &'a [WantedFlip],
}

/// A flip that is not in the plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct UnmetFlip {
    /// Its place in the request.
    pub flip: usize,
    /// [`ProblemKind::OffTheHarp`] where the harp has no such string or the piece no such bar,
    /// [`ProblemKind::NoLever`], or [`ProblemKind::EditNotMet`] where the lever already stands so.
    pub why: ProblemKind,
}

/// A plan of wanted flips, and those that can't be made.
#[derive(Clone, Debug, PartialEq)]
pub struct BarePlan {
    /// The plan. Its problems tell the unmet flips too, by their time.
    pub plan: Plan,
    /// The flips left out, in the order of the request.
    pub unmet: Vec<UnmetFlip>,
}

/// One flip in the course of playing.
#[derive(Clone, Copy, Debug)]
struct Played {
    at: ScoreTime,
    played_bar: usize,
    wanted: usize,
    string: StringNumber,
    to: LeverState,
    hand: Hand,
}

/// Makes gestures at exactly the wanted places, on every time through their bars.
///
/// The start setting is the key's, but for the flipped strings: each starts where its first flip changes it. Flips of
/// neighbouring strings at one moment, the same way and with the same hand, are one gesture. No notes being known, a
/// hand's time is what lies between its gestures, from lever to lever, and a window reaches from the string's flip
/// before to its next, or to the end of the bar.
pub fn bare_plan(request: &BareRequest<'_>) -> BarePlan {
    let mut unmet = BTreeMap::new();
    let mut problems = Vec::new();
    let mut played = played(request, &mut unmet, &mut problems);
    played.sort_by_key(|flip| (flip.at, flip.string, flip.wanted));
    let start = start_setting(request, &played);
    let mut setting = start.clone();
    played.retain(|flip| {
        let moves = setting.of(flip.string) != flip.to;
        if moves {
            setting.set(flip.string, flip.to);
        } else {
            unmet.entry(flip.wanted).or_insert(ProblemKind::EditNotMet);
            problems.push(problem(ProblemKind::EditNotMet, flip.at));
        }
        moves
    });
    let mut gestures = gestures(request, &played);
    time_hands(request, &mut gestures, &mut problems);
    problems.sort_by_key(|problem| (problem.at, problem.kind));
    let count = |number: usize| u32::try_from(number).unwrap_or(u32::MAX);
    let rushed = gestures.iter().filter(|gesture| gesture.is_rushed()).count();
    let totals = Totals { rushed: count(rushed), flips: count(played.len()), ..Totals::default() };
    offer_slower(request, &gestures, totals, &mut problems);
    let plan = Plan {
        start,
        end: setting,
        strings: vec![None; request.performance.plucks().len()],
        repeats: repeats::differences(request.performance, &gestures, &[]),
        gestures,
        problems,
        totals,
        // The player has chosen: there is nothing better to find.
        proof: Proof::BestPossible,
    };
    let unmet = unmet.into_iter().map(|(flip, why)| UnmetFlip { flip, why }).collect();
    BarePlan { plan, unmet }
}

fn problem(kind: ProblemKind, at: ScoreTime) -> Problem {
    Problem { kind, at, plucks: Vec::new(), refused: None, ways_out: Vec::new() }
}

/// The wanted flips that the harp and the piece have a place for.
fn played(
    request: &BareRequest<'_>,
    unmet: &mut BTreeMap<usize, ProblemKind>,
    problems: &mut Vec<Problem>,
) -> Vec<Played> {
    let bars = request.performance.bars();
    let mut found = Vec::new();
    for (wanted, flip) in request.flips.iter().enumerate() {
        let times: Vec<(usize, ScoreTime)> = bars
            .iter()
            .enumerate()
            .filter(|(_, bar)| bar.bar == flip.bar && flip.at >= Ticks::ZERO && flip.at < bar.length)
            .map(|(index, bar)| (index, bar.starts + flip.at))
            .collect();
        let refused = match request.harp.string_of_letter(flip.string) {
            None => Some(ProblemKind::OffTheHarp),
            Some((_, string)) if !string.lever.is_fitted() => Some(ProblemKind::NoLever),
            Some(_) if times.is_empty() => Some(ProblemKind::OffTheHarp),
            Some((string, _)) => {
                found.extend(times.iter().map(|&(played_bar, at)| Played {
                    at,
                    played_bar,
                    wanted,
                    string,
                    to: flip.to,
                    hand: flip.hand,
                }));
                None
            }
        };
        if let Some(why) = refused {
            unmet.insert(wanted, why);
            let at = times.first().map_or(ScoreTime::START, |&(_, at)| at);
            problems.push(problem(why, at));
        }
    }
    found
}

fn start_setting(request: &BareRequest<'_>, played: &[Played]) -> Setting {
    let mut start = Setting::for_key(request.harp, request.performance.key());
    // Backwards, so that each string's first flip has the last word.
    for flip in played.iter().rev() {
        start.set(flip.string, !flip.to);
    }
    start
}

fn gestures(request: &BareRequest<'_>, played: &[Played]) -> Vec<Gesture> {
    let mut next: BTreeMap<StringNumber, ScoreTime> = BTreeMap::new();
    let mut befores = vec![ScoreTime::START; played.len()];
    for (index, flip) in played.iter().enumerate().rev() {
        let bar_line = request.performance.bars()[flip.played_bar].ends();
        befores[index] = next.insert(flip.string, flip.at).map_or(bar_line, |next| next.min(bar_line));
    }
    let mut last: BTreeMap<StringNumber, ScoreTime> = BTreeMap::new();
    let mut gestures: Vec<Gesture> = Vec::new();
    for hand in Hand::BOTH {
        for (flip, before) in played.iter().zip(&befores).filter(|(flip, _)| flip.hand == hand) {
            let sounds =
                request.harp.string(flip.string).map_or(request.flips[flip.wanted].string, |s| s.sounds(flip.to));
            let made =
                Flip { string: flip.string, to: flip.to, sounds, window: Window { after: None, before: *before } };
            match gestures.last_mut().filter(|gesture| joins(gesture, flip)) {
                Some(gesture) => gesture.flips.push(made),
                None => gestures.push(Gesture {
                    at: flip.at,
                    played_bar: flip.played_bar,
                    hand,
                    flips: vec![made],
                    needed: Seconds::ZERO,
                    available: None,
                    top_tempo: None,
                    comfort: 0,
                    locked: true,
                }),
            }
        }
    }
    gestures.sort_by_key(|gesture| (gesture.at, gesture.hand, gesture.flips[0].string));
    for gesture in &mut gestures {
        let at = gesture.at;
        for flip in &mut gesture.flips {
            flip.window.after = last.insert(flip.string, at);
        }
    }
    gestures
}

/// Whether a flip is one motion with a gesture: the same hand and moment, a neighbouring string, the same way.
fn joins(gesture: &Gesture, flip: &Played) -> bool {
    gesture.at == flip.at
        && gesture.hand == flip.hand
        && gesture.flips.last().is_some_and(|last| last.to == flip.to && last.string.is_beside(flip.string))
}

/// What each hand needs from its gesture before, and what it has.
fn time_hands(request: &BareRequest<'_>, gestures: &mut [Gesture], problems: &mut Vec<Problem>) {
    for hand in Hand::BOTH {
        let mut before: Option<ScoreTime> = None;
        for gesture in gestures.iter_mut().filter(|gesture| gesture.hand == hand) {
            let further = gesture.flips.len().saturating_sub(1) as f64;
            gesture.needed = request.pace.lever_to_lever() + request.pace.further_lever() * further;
            if let Some(before) = before {
                let available = request.tempo.seconds_at(gesture.at) - request.tempo.seconds_at(before);
                let here = request.tempo.tempo_at(gesture.at).quarters_per_minute();
                let top = here * available.get() / gesture.needed.get();
                gesture.available = Some(available);
                gesture.top_tempo = Some(TopTempo { quarters_per_minute: top });
                if gesture.is_rushed() {
                    problems.push(problem(ProblemKind::Rushed, gesture.at));
                }
            }
            before = Some(gesture.at);
        }
    }
}

/// For each rushed gesture the fastest whole opening tempo at which it is in time, and what is rushed then.
fn offer_slower(request: &BareRequest<'_>, gestures: &[Gesture], totals: Totals, problems: &mut [Problem]) {
    let opening = request.tempo.opening().quarters_per_minute();
    let limit = |gesture: &Gesture| {
        let here = request.tempo.tempo_at(gesture.at).quarters_per_minute();
        Some(opening * gesture.top_tempo?.quarters_per_minute / here)
    };
    for problem in problems.iter_mut().filter(|problem| problem.kind == ProblemKind::Rushed) {
        let rushed = gestures.iter().find(|gesture| gesture.at == problem.at && gesture.is_rushed());
        let slower = rushed.and_then(limit).and_then(|limit| Tempo::quarters(limit.floor()).ok());
        if let Some(tempo) = slower {
            let too_fast = |gesture: &&Gesture| limit(gesture).is_some_and(|own| own < tempo.quarters_per_minute());
            let rushed = u32::try_from(gestures.iter().filter(too_fast).count()).unwrap_or(u32::MAX);
            problem.ways_out =
                vec![WayOut { change: Change::NoFasterThan(tempo), totals: Totals { rushed, ..totals } }];
        }
    }
}

#[cfg(test)]
mod tests;
