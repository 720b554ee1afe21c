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
}

/// Joins chosen flips into movements and times them, in order of time, then from the top string.
pub(in super::super) fn movements(
    bench: &Bench<'_>,
    needs: &[Need],
    choices: &[Choice],
    members: &[usize],
) -> Vec<Movement> {
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
            }),
        }
    }
    for index in 0..movements.len() {
        let (earlier, rest) = movements.split_at_mut(index);
        let movement = &mut rest[0];
        if movement.flips.len() > 1 {
            let strings: Vec<StringNumber> = movement.flips.iter().map(|&flip| needs[flip].string).collect();
            movement.timing = bench.tracks.timing(movement.hand, &movement.place, &strings);
        }
        if let Some(previous) = earlier.last()
            && previous.hand == movement.hand
            && !movement.place.plucks_since(&previous.place, movement.hand)
        {
            let levers = movement.flips.len();
            movement.timing = bench.tracks.timing_after(movement.timing, &movement.place, &previous.place, levers);
        }
    }
    movements.sort_by_key(|movement| (movement.place.at, needs[movement.flips[0]].string, movement.hand));
    movements
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
pub(super) fn is_elsewhere(bench: &Bench<'_>, choice: &Choice, first: &Choice) -> bool {
    let written = |choice: &Choice| {
        let bar = &bench.request.performance.bars()[choice.place.played_bar];
        (bar.bar, choice.place.at - bar.starts, choice.hand)
    };
    written(choice) != written(first)
}

/// Flips of one hand that follow each other with no pluck of that hand between them, or fall together.
pub(super) fn neighbours_in_time(choices: &[Choice], members: &[usize], hand: Hand) -> Vec<(usize, usize)> {
    let mut order: Vec<usize> = members.iter().copied().filter(|&index| choices[index].hand == hand).collect();
    order.sort_by_key(|&index| choices[index].place.at);
    let at = |index: usize| choices[index].place.at;
    let mut pairs = Vec::new();
    for (position, &later) in order.iter().enumerate() {
        // Everything at the same moment, and everything at the last moment before it.
        let mut previous = None;
        for &earlier in order[..position].iter().rev() {
            if previous.is_some_and(|previous| at(earlier) != previous) && at(earlier) != at(later) {
                break;
            }
            if choices[later].place.plucks_since(&choices[earlier].place, hand) {
                break;
            }
            if at(earlier) != at(later) {
                previous = Some(at(earlier));
            }
            pairs.push((earlier, later));
        }
    }
    pairs
}
