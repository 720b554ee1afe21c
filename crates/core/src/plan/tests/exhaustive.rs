//! The planner against everything that could be chosen, on scores small enough to try it all.
//!
//! The reference is written anew from the documented rules: it shares the grid of places, the pace and the harp's
//! geometry with the planner, and nothing else.

use proptest::prelude::*;

use super::small_pieces::{Sounding, cases, planned, played};
use crate::harp::{Harp, Lever, LeverState, StringNumber, Tuning};
use crate::meter::{Strength, divisions_used, flip_places, strength};
use crate::pitch::{Letter, MidiNote, SpelledPitch};
use crate::plan::{EndOfPiece, Flip, HandPace, PaceLevel, Plan, Window};
use crate::score::{Hand, Performance};
use crate::time::{ScoreTime, Tempo, Ticks};

/// Six neighbouring strings of a harp, some without a lever.
pub fn small_harp() -> impl Strategy<Value = Harp> {
    let tuning = prop::sample::select(Tuning::ALL.to_vec());
    (tuning, 25i16..33, prop::collection::vec(prop::bool::weighted(0.9), 6)).prop_map(|(tuning, lowest, levers)| {
        let natural =
            |steps: i16| SpelledPitch::new(Letter::from_steps(i32::from(steps)), 0, (steps / 7) as i8).unwrap();
        let harp = Harp::spanning("small", natural(lowest + 5), natural(lowest), tuning).unwrap();
        let mut strings = harp.strings().to_vec();
        for (string, fitted) in strings.iter_mut().zip(levers) {
            if !fitted {
                string.lever = Lever::NotFitted;
            }
        }
        Harp::new("small", strings).unwrap()
    })
}

/// Up to twelve notes in a few bars, some together, on or near the strings of the harp.
pub fn small_score() -> impl Strategy<Value = (Harp, Vec<Sounding>)> {
    score_of(12)
}

/// The same with so many notes at the most.
pub fn score_of(most: usize) -> impl Strategy<Value = (Harp, Vec<Sounding>)> {
    let note = (0u8..14, 0i64..16, 1i64..5, any::<bool>(), any::<bool>());
    (small_harp(), prop::collection::vec(note, 1..=most)).prop_map(|(harp, notes)| {
        let lowest = harp.strings()[5].open.midi().get() - 1;
        let notes = notes
            .into_iter()
            .map(|(above, eighth, length, right, sharp)| {
                let hand = if right { Hand::Right } else { Hand::Left };
                let half = Ticks::new(Ticks::PER_QUARTER / 2);
                (hand, half * eighth, half * length, spelled(lowest + above, sharp))
            })
            .collect();
        (harp, notes)
    })
}

fn spelled(midi: u8, sharp: bool) -> SpelledPitch {
    let alter = if sharp { 1 } else { -1 };
    let (octave, class) = (midi as i8 / 12 - 1, midi % 12);
    let with_class = |class: u8| Letter::ALL.into_iter().find(|letter| letter.semitones_above_c() == class);
    match with_class(class) {
        Some(letter) => SpelledPitch::new(letter, 0, octave).unwrap(),
        None => {
            let letter = with_class((i16::from(class) - i16::from(alter)) as u8).unwrap();
            SpelledPitch::new(letter, alter, octave).unwrap()
        }
    }
}

/// The fewest unplayable notes, and with them the least of 10 · flips + 4 · respelled, over every choice of strings.
fn best_of_all_strings(performance: &Performance, harp: &Harp) -> (u32, u32) {
    let mut best = (u32::MAX, u32::MAX);
    let mut levers: Vec<Option<(LeverState, ScoreTime)>> = vec![None; harp.strings().len()];
    try_strings(performance, harp, 0, (0, 0), &mut levers, &mut best);
    best
}

/// The best of all plans by all four criteria, strings and places together; none where that would be too many to try.
pub fn best_of_all_plans(rules: &Rules<'_>) -> Option<(u32, u32, u32, u32)> {
    let mut choices = Vec::new();
    every_choice(rules, &mut Vec::new(), &mut choices);
    let silent = |choice: &Vec<Option<(usize, LeverState)>>| choice.iter().filter(|way| way.is_none()).count();
    let fewest = choices.iter().map(silent).min()?;
    choices.retain(|choice| silent(choice) == fewest);
    let mut best: Option<(u32, u32, u32)> = None;
    for choice in &choices {
        let flips = flips_of(rules, choice);
        let (rushed, comfort) = best_of_places(rules, &flips.iter().collect::<Vec<&Flip>>(), 4_000 / choices.len())?;
        let respelled = choice.iter().zip(rules.performance.plucks()).filter(|(way, pluck)| {
            way.is_some_and(|(string, _)| rules.harp.strings()[string].open.staff_steps() != pluck.pitch.staff_steps())
        });
        let work = 10 * flips.len() as u32 + 4 * respelled.count() as u32;
        let cost = (rushed, work, comfort);
        best = Some(best.map_or(cost, |best| best.min(cost)));
    }
    best.map(|(rushed, work, comfort)| (fewest as u32, rushed, work, comfort))
}

/// A string, by its place on the harp, and its lever for every pluck that is played.
type StringsChosen = Vec<Option<(usize, LeverState)>>;

fn every_choice(rules: &Rules<'_>, chosen: &mut StringsChosen, all: &mut Vec<StringsChosen>) {
    let plucks = rules.performance.plucks();
    let Some(pluck) = plucks.get(chosen.len()) else {
        all.push(chosen.clone());
        return;
    };
    for (index, string) in rules.harp.strings().iter().enumerate() {
        for state in [LeverState::Down, LeverState::Up] {
            let holds = |(other, way): (&crate::score::Pluck, &Option<(usize, LeverState)>)| {
                other.at == pluck.at && *way == Some((index, !state))
            };
            if string.sounds(state).midi() == pluck.pitch.midi()
                && string.allows(state)
                && !plucks.iter().zip(chosen.iter()).any(holds)
            {
                chosen.push(Some((index, state)));
                every_choice(rules, chosen, all);
                chosen.pop();
            }
        }
    }
    chosen.push(None);
    every_choice(rules, chosen, all);
    chosen.pop();
}

/// The flips that a choice of strings asks for.
fn flips_of(rules: &Rules<'_>, choice: &StringsChosen) -> Vec<Flip> {
    let mut stands: Vec<Option<(LeverState, ScoreTime)>> = vec![None; rules.harp.strings().len()];
    let mut flips = Vec::new();
    for (pluck, way) in rules.performance.plucks().iter().zip(choice) {
        let Some((index, to)) = *way else { continue };
        if let Some((lever, after)) = stands[index]
            && lever != to
        {
            let (string, strung) = rules.harp.numbered().nth(index).unwrap();
            let window = Window { after: Some(after), before: pluck.at };
            flips.push(Flip { string, to, sounds: strung.sounds(to), window });
        }
        stands[index] = Some((to, pluck.at));
    }
    flips
}

fn try_strings(
    performance: &Performance,
    harp: &Harp,
    index: usize,
    so_far: (u32, u32),
    levers: &mut Vec<Option<(LeverState, ScoreTime)>>,
    best: &mut (u32, u32),
) {
    if so_far >= *best {
        return;
    }
    let Some(pluck) = performance.plucks().get(index) else {
        *best = so_far;
        return;
    };
    for (place, string) in harp.strings().iter().enumerate() {
        for state in [LeverState::Down, LeverState::Up] {
            if string.sounds(state).midi() != pluck.pitch.midi() || !string.allows(state) {
                continue;
            }
            let respelled =
                string.open.letter() != pluck.pitch.letter() || string.open.octave() != pluck.pitch.octave();
            let before = levers[place];
            let flips = before.is_some_and(|(lever, _)| lever != state);
            if flips && before.is_some_and(|(_, plucked)| plucked == pluck.at) {
                continue; // the string is plucked in the other state at this very moment
            }
            levers[place] = Some((state, pluck.at));
            let cost = (so_far.0, so_far.1 + 10 * u32::from(flips) + 4 * u32::from(respelled));
            try_strings(performance, harp, index + 1, cost, levers, best);
            levers[place] = before;
        }
    }
    try_strings(performance, harp, index + 1, (so_far.0 + 1, so_far.1), levers, best);
}

/// One flip at one moment with one hand.
#[derive(Clone, Copy)]
struct Made<'a> {
    flip: &'a Flip,
    at: ScoreTime,
    hand: Hand,
}

/// The rules of time and comfort, written down a second time as plainly as they go.
pub struct Rules<'a> {
    pub performance: &'a Performance,
    pub harp: &'a Harp,
    pub bpm: f64,
}

impl Rules<'_> {
    fn seconds(&self, from: ScoreTime, to: ScoreTime) -> f64 {
        (to - from).quarters() * 60.0 / self.bpm
    }

    /// The moments at which a hand plucks, with where it is across the harp.
    fn plucks(&self, hand: Hand) -> Vec<(ScoreTime, Option<f64>)> {
        let mut moments: Vec<(ScoreTime, Vec<f64>)> = Vec::new();
        for pluck in self.performance.plucks().iter().filter(|pluck| pluck.hand == hand) {
            if moments.last().is_none_or(|(at, _)| *at != pluck.at) {
                moments.push((pluck.at, Vec::new()));
            }
            let own = |string: &&crate::harp::HarpString| {
                (string.open.letter(), string.open.octave()) == (pluck.pitch.letter(), pluck.pitch.octave())
            };
            if let Some(string) = self.harp.strings().iter().find(own) {
                moments.last_mut().unwrap().1.push(string.place.across.get());
            }
        }
        let mean = |across: Vec<f64>| (!across.is_empty()).then(|| across.iter().sum::<f64>() / across.len() as f64);
        moments.into_iter().map(|(at, across)| (at, mean(across))).collect()
    }

    fn moments(&self, flip: &Flip) -> Vec<ScoreTime> {
        let mut moments = Vec::new();
        for bar in self.performance.bars() {
            let inside =
                self.performance.plucks().iter().filter(|pluck| pluck.at >= bar.starts && pluck.at < bar.ends());
            let used = divisions_used(inside.map(|pluck| pluck.at - bar.starts), &bar.meter);
            let places = flip_places(&bar.meter, Ticks::ZERO, bar.length, used);
            moments.extend(places.into_iter().map(|offset| bar.starts + offset));
        }
        for pair in self.performance.plucks().windows(2) {
            if !moments.iter().any(|&at| at > pair[0].at && at < pair[1].at) && pair[0].at < pair[1].at {
                moments.push(pair[0].at + Ticks::new((pair[1].at - pair[0].at).get() / 2));
            }
        }
        let after = flip.window.after.unwrap();
        moments.retain(|&at| at > after && at < flip.window.before);
        moments
    }

    fn cost(&self, all: &[Made<'_>]) -> (u32, u32) {
        let (mut rushed, mut comfort) = (0, 0);
        let mut gestures: Vec<Vec<Made<'_>>> = Vec::new();
        let mut sorted = all.to_vec();
        sorted.sort_by_key(|made| (made.hand, made.at, made.flip.to, made.flip.string));
        for made in sorted {
            match gestures.last_mut() {
                Some(last)
                    if last[0].hand == made.hand
                        && last[0].at == made.at
                        && last[0].flip.to == made.flip.to
                        && last[last.len() - 1].flip.string.get() + 1 == made.flip.string.get() =>
                {
                    last.push(made);
                }
                _ => gestures.push(vec![made]),
            }
        }
        for index in 0..gestures.len() {
            let previous = index.checked_sub(1).map(|index| gestures[index][0]);
            let slack = self.slack(&gestures[index], previous);
            rushed += u32::from(slack.is_some_and(|slack| slack < 1.0));
            comfort += gestures[index].iter().map(|made| self.comfort(made, slack)).sum::<u32>();
        }
        for made in all {
            let written = |made: &Made<'_>| {
                let bar = &self.performance.bars()[self.performance.bar_at(made.at)];
                (bar.bar, made.at - bar.starts, made.hand)
            };
            let need = |made: &Made<'_>| {
                let bar = &self.performance.bars()[self.performance.bar_at(made.flip.window.before)];
                (made.flip.string, made.flip.to, bar.bar, made.flip.window.before - bar.starts)
            };
            let first =
                all.iter().filter(|other| need(other) == need(made)).min_by_key(|other| other.flip.window.before);
            comfort += 2 * u32::from(first.is_some_and(|first| written(first) != written(made)));
        }
        (rushed, comfort)
    }

    fn slack(&self, gesture: &[Made<'_>], previous: Option<Made<'_>>) -> Option<f64> {
        let pace = HandPace::from(PaceLevel::Fluent);
        let (hand, at) = (gesture[0].hand, gesture[0].at);
        let plucks = self.plucks(hand);
        let before = plucks.iter().rfind(|(pluck, _)| *pluck <= at);
        let after = plucks.iter().find(|(pluck, _)| *pluck > at);
        let further = pace.further_lever().get() * (gesture.len() - 1) as f64;
        let reach = |across: Option<f64>| {
            let to = |made: &Made<'_>| {
                let place = self.harp.string(made.flip.string).unwrap().place;
                across.map_or(0.0, |across| across - place.across.get()).hypot(place.lever_above.get())
            };
            crate::harp::Millimetres::new(gesture.iter().map(to).fold(0.0, f64::max))
        };
        let mut sides = Vec::new();
        if let Some(&(pluck, across)) = before {
            sides.push(self.seconds(pluck, at) / (pace.out(reach(across)).get() + further));
        }
        if let Some(&(pluck, across)) = after {
            sides.push(self.seconds(at, pluck) / pace.back(reach(across)).get());
        }
        if let Some(previous) = previous
            && previous.hand == hand
            && !plucks.iter().any(|&(pluck, _)| pluck > previous.at && pluck <= at)
        {
            sides.push(self.seconds(previous.at, at) / (pace.lever_to_lever().get() + further));
        }
        sides.into_iter().reduce(f64::min)
    }

    fn comfort(&self, made: &Made<'_>, slack: Option<f64>) -> u32 {
        let bar = &self.performance.bars()[self.performance.bar_at(made.at)];
        let beat = match strength(made.at - bar.starts, &bar.meter) {
            Strength::Downbeat | Strength::Strong => 0,
            Strength::Beat => 1,
            Strength::Half => 3,
            Strength::Third => 4,
            Strength::Between => 8,
        };
        let after = made.flip.window.after.unwrap();
        let old = self.performance.plucks().iter().filter(|pluck| {
            let ways: Vec<StringNumber> =
                self.harp.ways_to_sound(pluck.pitch.midi()).map(|(string, _)| string).collect();
            pluck.at == after && ways.contains(&made.flip.string)
        });
        // The note of the string in its old state.
        let old_sound = self.harp.string(made.flip.string).unwrap().sounds(!made.flip.to).midi();
        let old: Vec<_> = old.filter(|pluck| pluck.pitch.midi() == old_sound).collect();
        let ringing = if old.iter().any(|pluck| made.at < pluck.written_end) {
            6
        } else if self.seconds(after, made.at) < ring(old_sound) {
            3
        } else {
            0
        };
        let tight = match slack {
            None => 0,
            Some(slack) if slack >= 2.0 => 0,
            Some(slack) if slack >= 1.5 => 1,
            Some(slack) if slack >= 1.25 => 2,
            Some(slack) if slack >= 1.0 => 4,
            Some(slack) if slack >= 0.75 => 8,
            Some(slack) if slack >= 0.5 => 12,
            Some(slack) if slack > 0.0 => 16,
            Some(_) => 24,
        };
        let right = if made.hand == Hand::Right { 5 } else { 0 };
        let other = self.plucks(!made.hand);
        let before = other.iter().rfind(|(pluck, _)| *pluck <= made.at);
        let next = other.iter().find(|(pluck, _)| *pluck > made.at);
        let leap = match (before, next) {
            (Some((_, Some(from))), Some((pluck, Some(to)))) if self.seconds(made.at, *pluck) < 1.0 => {
                let strings = (from - to).abs() / 15.9;
                if strings > 8.5 {
                    4
                } else if strings > 5.5 {
                    2
                } else {
                    0
                }
            }
            _ => 0,
        };
        let far = (made.flip.window.before - made.at).get() / (2 * Ticks::PER_QUARTER);
        beat + ringing + tight + right + leap + far as u32
    }
}

fn ring(note: MidiNote) -> f64 {
    let midi = f64::from(note.get());
    match midi {
        ..=48.0 => 9.0,
        ..=60.0 => 9.0 + (4.0 - 9.0) * (midi - 48.0) / 12.0,
        ..=72.0 => 4.0 + (2.0 - 4.0) * (midi - 60.0) / 12.0,
        ..=84.0 => 2.0 + (1.0 - 2.0) * (midi - 72.0) / 12.0,
        ..=96.0 => 1.0 + (0.5 - 1.0) * (midi - 84.0) / 12.0,
        _ => 0.5,
    }
}

/// The best (rushed, comfort) over every moment and hand of the plan's flips; none where that would be too many to try.
pub fn best_of_all_places(rules: &Rules<'_>, plan: &Plan) -> Option<(u32, u32)> {
    let flips: Vec<&Flip> = plan.gestures.iter().flat_map(|gesture| &gesture.flips).collect();
    best_of_places(rules, &flips, 30_000)
}

fn best_of_places(rules: &Rules<'_>, flips: &[&Flip], most_tries: usize) -> Option<(u32, u32)> {
    let moments: Vec<Vec<ScoreTime>> = flips.iter().map(|flip| rules.moments(flip)).collect();
    let tries = moments.iter().try_fold(1usize, |product, places| product.checked_mul(2 * places.len()))?;
    if tries > most_tries {
        return None;
    }
    let mut best = (u32::MAX, u32::MAX);
    for mut number in 0..tries {
        let made: Vec<Made<'_>> = flips
            .iter()
            .zip(&moments)
            .map(|(flip, places)| {
                let choice = number % (2 * places.len());
                number /= 2 * places.len();
                Made { flip, at: places[choice / 2], hand: Hand::BOTH[choice % 2] }
            })
            .collect();
        best = best.min(rules.cost(&made));
    }
    Some(best)
}

proptest! {
    #![proptest_config(cases(300))]

    /// At a crawl nothing is rushed, and the choice of strings is the best of all.
    #[test]
    fn strings_are_the_best_of_all((harp, notes) in small_score()) {
        let performance = played(0, &[notes], 1);
        let plan = planned(&performance, &harp, Tempo::SLOWEST, EndOfPiece::Stop, &[]);
        let best = best_of_all_strings(&performance, &harp);
        prop_assert_eq!(plan.totals.rushed, 0);
        prop_assert_eq!((plan.totals.unplayable, 10 * plan.totals.flips + 4 * plan.totals.respelled), best);
    }

    /// For the strings chosen, at any tempo, once or twice through, the placement is the best of all.
    #[test]
    fn places_are_the_best_of_all((harp, notes) in small_score(), bpm in 20.0..200.0f64, times in 1u8..3) {
        let performance = played(0, &[notes], times);
        let plan = planned(&performance, &harp, bpm, EndOfPiece::Stop, &[]);
        let rules = Rules { performance: &performance, harp: &harp, bpm };
        if let Some(best) = best_of_all_places(&rules, &plan) {
            prop_assert_eq!((plan.totals.rushed, plan.totals.comfort), best, "{:#?}", plan.gestures);
        }
    }

    /// The same input gives the same plan.
    #[test]
    fn plans_are_deterministic((harp, notes) in small_score(), bpm in 20.0..200.0f64) {
        let performance = played(0, &[notes], 2);
        let again = || planned(&performance, &harp, bpm, EndOfPiece::Loop, &[]);
        prop_assert_eq!(again(), again());
    }
}
