//! What flips cost together: joined into gestures, one after another in one hand, and alike on repeats.

use super::super::bench::{Bench, Choice};
use super::super::comfort::DIFFERENT_ON_REPEAT;
use super::super::cost::Cost;
use super::super::hand_track::Timing;
use super::super::need::Need;
use super::super::places::Place;
use crate::harp::StringNumber;
use crate::score::Hand;

/// One hand movement: flips made together, by their place among the needs.
pub(in super::super) struct Movement {
    pub flips: Vec<usize>,
    pub place: Place,
    pub hand: Hand,
    pub timing: Timing,
    /// Where the hand moved another lever before, if it has not plucked since.
    pub follows: Option<Place>,
    /// Its timing if it followed no other lever's since the hand last plucked.
    unfollowed: Timing,
}

/// Joins chosen flips into movements and times them, in order of time, then from the top string.
pub(in super::super) fn movements(
    bench: &Bench<'_>,
    needs: &[Need],
    choices: &[Choice],
    members: &[usize],
) -> Vec<Movement> {
    let mut movements = by_hand(bench, needs, choices, members);
    movements.sort_by_key(|movement| (movement.place.at, needs[movement.flips[0]].string, movement.hand));
    movements
}

/// The movements of the left hand in order of time, then those of the right.
fn by_hand(bench: &Bench<'_>, needs: &[Need], choices: &[Choice], members: &[usize]) -> Vec<Movement> {
    let mut order = members.to_vec();
    order.sort_by_key(|&index| (choices[index].hand, choices[index].place.at, needs[index].to, needs[index].string));
    let mut movements: Vec<Movement> = Vec::with_capacity(order.len());
    for index in order {
        let choice = &choices[index];
        match movements.last_mut() {
            Some(last) if joins(last, index, needs, choice) => last.flips.push(index),
            _ => movements.push(Movement {
                flips: vec![index],
                place: choice.place,
                hand: choice.hand,
                timing: choice.timing,
                follows: None,
                unfollowed: choice.timing,
            }),
        }
    }
    for index in 0..movements.len() {
        let (earlier, rest) = movements.split_at_mut(index);
        let movement = &mut rest[0];
        if movement.flips.len() > 1 {
            let strings: Vec<StringNumber> = movement.flips.iter().map(|&flip| needs[flip].string).collect();
            movement.unfollowed = bench.tracks.timing(movement.hand, &movement.place, &strings);
            movement.timing = movement.unfollowed;
        }
        if let Some(previous) = earlier.last()
            && previous.hand == movement.hand
            && !movement.place.plucks_since(&previous.place, movement.hand)
        {
            let levers = movement.flips.len();
            movement.follows = Some(previous.place);
            movement.timing = bench.tracks.timing_after(movement.timing, &movement.place, &previous.place, levers);
        }
    }
    movements
}

/// Flips that cost more together than apart: those of a movement that a second lever, or the movement before it in the
/// same hand, makes tighter.
pub(super) fn entangled(bench: &Bench<'_>, needs: &[Need], choices: &[Choice], members: &[usize]) -> Vec<Vec<usize>> {
    let movements = by_hand(bench, needs, choices, members);
    let cost = |movement: &Movement, timing: Timing| {
        let comfort: u32 = movement.flips.iter().map(|&flip| choices[flip].comfort_at(timing)).sum();
        (u32::from(timing.is_rushed()), comfort)
    };
    let mut entangled = Vec::new();
    for (index, movement) in movements.iter().enumerate() {
        let apart = movement.flips.iter().fold((0, 0), |(rushed, comfort), &flip| {
            (rushed + choices[flip].cost.rushed, comfort + choices[flip].cost.comfort)
        });
        let together = cost(movement, movement.unfollowed);
        if cost(movement, movement.timing) != together {
            let before = index.checked_sub(1).map_or(&[][..], |before| &movements[before].flips);
            entangled.push([before, &movement.flips].concat());
        } else if together != apart {
            entangled.push(movement.flips.clone());
        }
    }
    entangled
}

fn joins(movement: &Movement, index: usize, needs: &[Need], choice: &Choice) -> bool {
    let last = &needs[movement.flips[movement.flips.len() - 1]];
    (movement.hand, movement.place.at) == (choice.hand, choice.place.at)
        && last.to == needs[index].to
        && last.string.is_beside(needs[index].string)
}

/// What some flips cost together. `first_times` gives for each need the same flip on the first time through; only
/// pairs inside `members` count.
pub(in super::super) fn cost(
    bench: &Bench<'_>,
    needs: &[Need],
    choices: &[Choice],
    members: &[usize],
    first_times: &[Option<usize>],
) -> Cost {
    let mut cost = Cost::NONE;
    for movement in movements(bench, needs, choices, members) {
        cost.comfort += movement.flips.iter().map(|&flip| choices[flip].comfort_at(movement.timing)).sum::<u32>();
        cost.rushed += u32::from(movement.timing.is_rushed());
    }
    for &index in members {
        if let Some(&Some(first)) = first_times.get(index)
            && members.contains(&first)
            && is_elsewhere(bench, &choices[index], &choices[first])
        {
            cost.comfort += DIFFERENT_ON_REPEAT;
        }
    }
    cost
}

/// Whether a flip is made at another written place, or with another hand, than on the first time through.
pub(in super::super) fn is_elsewhere(bench: &Bench<'_>, choice: &Choice, first: &Choice) -> bool {
    let written = |choice: &Choice| {
        let bar = &bench.request.performance.bars()[choice.place.played_bar];
        (bar.bar, choice.place.at - bar.starts, choice.hand)
    };
    written(choice) != written(first)
}
