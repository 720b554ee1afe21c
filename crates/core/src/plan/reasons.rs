//! Why a flip is made where it is made, and what every other place would cost.
//!
//! [`Reasons`] is made once for a plan and then asked about single gestures: [`Reasons::why`] for the place chosen and the
//! next best one, [`Reasons::places`] for every place that the gesture could be moved to, as a window shows them while the
//! gesture is dragged.

use super::bench::{Bench, Choice};
use super::comfort;
use super::need::Need;
use super::placement::{cost_together, first_times, is_elsewhere, movements};
use super::strings::needs_of;
use super::{Plan, Request};
use crate::score::Hand;
use crate::time::{ScoreTime, Seconds};

/// Movements farther apart than this never hurry each other, at any pace.
const APART: f64 = 10.0;

/// What speaks against a place for a flip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reason {
    /// It lies on a weak part of the bar.
    OffTheStrongBeat,
    /// The string's last note is still written to sound.
    NoteStillWritten,
    /// The string still rings audibly.
    StringStillRings,
    /// The hand has little time for it.
    TightTime,
    /// The right hand makes it.
    RightHand,
    /// The other hand leaps at that moment and can't be watched.
    OtherHandLeaps,
    /// It comes long before it is needed.
    FarFromItsNeed,
    /// It is made elsewhere, or with the other hand, than on another time through the same bar.
    DifferentOnRepeat,
    /// It hurries another flip of the same hand.
    HurriesAnother,
}

/// One reason with its weight in the comfort table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CostPart {
    /// What speaks against the place.
    pub reason: Reason,
    /// How much; more than 0.
    pub cost: u32,
}

/// What a gesture would cost at one place with one hand, everything else staying as planned.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceCost {
    /// The flip beat.
    pub at: ScoreTime,
    /// The bar it falls in, by its place in the performance.
    pub played_bar: usize,
    /// The hand.
    pub hand: Hand,
    /// How many gestures would be rushed by it: itself, and others that it hurries.
    pub rushed: u32,
    /// The comfort cost; it is the sum of `parts`.
    pub comfort: u32,
    /// What makes up the comfort cost, weightiest first.
    pub parts: Vec<CostPart>,
    /// What the hand needs.
    pub needed: Seconds,
    /// What it has; none where nothing limits it. As in [`super::Gesture`].
    pub available: Option<Seconds>,
}

impl PlaceCost {
    /// The key by which places are compared; smaller is better.
    pub fn rank(&self) -> (u32, u32) {
        (self.rushed, self.comfort)
    }
}

/// Why a gesture stands where it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Why {
    /// What its place costs.
    pub chosen: PlaceCost,
    /// The best place at any other moment, with the better hand for it; none where there is no other moment.
    pub next_best: Option<PlaceCost>,
}

/// Answers for one plan.
pub struct Reasons<'a> {
    bench: Bench<'a>,
    needs: Vec<Need>,
    choices: Vec<Choice>,
    first_times: Vec<Option<usize>>,
    /// For each gesture of the plan, its flips among the needs.
    gestures: Vec<Vec<usize>>,
}

impl<'a> Reasons<'a> {
    /// Gets ready to answer for a plan that was made for this very request.
    pub fn of(request: &'a Request<'a>, plan: &Plan) -> Reasons<'a> {
        let bench = Bench::new(request);
        let (all, _) = needs_of(&bench, &plan.strings);
        let mut needs = Vec::with_capacity(all.len());
        let mut choices = Vec::with_capacity(all.len());
        let mut gestures = vec![Vec::new(); plan.gestures.len()];
        for need in all {
            let made = plan.gestures.iter().enumerate().find(|(_, gesture)| {
                gesture.flips.iter().any(|flip| (flip.string, flip.window) == (need.string, need.window))
            });
            if let Some((index, gesture)) = made {
                gestures[index].push(needs.len());
                choices.push(bench.choice_at(&need, gesture.at, gesture.hand));
                needs.push(need);
            }
        }
        let first_times = first_times(&needs);
        Reasons { bench, needs, choices, first_times, gestures }
    }

    /// Why a gesture stands where it stands; none for a gesture that the plan doesn't have.
    pub fn why(&self, gesture: usize) -> Option<Why> {
        let flips = self.gestures.get(gesture).filter(|flips| !flips.is_empty())?;
        let choice = self.choices[flips[0]];
        let chosen = self.cost_at(flips, choice.place.at, choice.hand);
        let others = self.places(gesture).into_iter().filter(|place| place.at != chosen.at);
        // Of equal ones the latest, as the planner takes them.
        let next_best = others.min_by_key(|place| (place.rank(), std::cmp::Reverse(place.at), place.hand));
        Some(Why { chosen, next_best })
    }

    /// What a gesture would cost at every place that all its flips' windows share, with either hand, in order of time,
    /// left before right. A wish of the player's for this gesture is left aside: she is looking for another place.
    pub fn places(&self, gesture: usize) -> Vec<PlaceCost> {
        let Some(flips) = self.gestures.get(gesture) else { return Vec::new() };
        let rooms = || flips.iter().map(|&flip| self.needs[flip].room);
        let after = rooms().filter_map(|room| room.after).max();
        let Some(before) = rooms().map(|room| room.before).min() else { return Vec::new() };
        let moments = self.bench.moments_between(after, before);
        let each = moments.into_iter().flat_map(|at| Hand::BOTH.map(|hand| self.cost_at(flips, at, hand)));
        each.collect()
    }

    fn cost_at(&self, flips: &[usize], at: ScoreTime, hand: Hand) -> PlaceCost {
        let moved = |index: usize| match flips.contains(&index) {
            true => self.bench.choice_at(&self.needs[index], at, hand),
            false => self.choices[index],
        };
        let (place, old) = (moved(flips[0]).place, self.choices[flips[0]].place);
        let is_near = |index: &usize| {
            let seconds = self.choices[*index].place.seconds;
            [place, old].iter().any(|place| (seconds - place.seconds).get().abs() < APART)
        };
        // What is near, the moved flips first.
        let others = (0..self.choices.len()).filter(is_near).filter(|index| !flips.contains(index));
        let near: Vec<usize> = flips.iter().copied().chain(others).collect();
        let needs: Vec<Need> = near.iter().map(|&index| self.needs[index]).collect();
        let choices: Vec<Choice> = near.iter().map(|&index| moved(index)).collect();
        let with: Vec<usize> = (0..near.len()).collect();
        let together = cost_together(&self.bench, &needs, &choices, &with);
        let others = cost_together(&self.bench, &needs, &choices, &with[flips.len()..]);

        let movements = movements(&self.bench, &needs, &choices, &with);
        let own = movements.iter().find(|movement| movement.flips.contains(&0));
        let timing = own.map_or(choices[0].timing, |movement| movement.timing);
        let mut parts = Vec::new();
        let mut add =
            |reason: Reason, cost: u32| match parts.iter_mut().find(|part: &&mut CostPart| part.reason == reason) {
                Some(part) => part.cost += cost,
                None => parts.push(CostPart { reason, cost }),
            };
        for &flip in flips {
            let need = &self.needs[flip];
            add(Reason::OffTheStrongBeat, comfort::of_strength(place.strength));
            let ringing = match need.last {
                Some(last) if place.at < last.written_end => Reason::NoteStillWritten,
                _ => Reason::StringStillRings,
            };
            add(ringing, comfort::of_ringing(need.last.as_ref(), &place));
            add(Reason::TightTime, comfort::of_slack(timing.slack));
            add(Reason::RightHand, comfort::of_hand(hand));
            add(Reason::OtherHandLeaps, comfort::of_leap(self.bench.tracks.leap_near(!hand, &place)));
            add(Reason::FarFromItsNeed, comfort::of_distance(place.at, need.window.before));
            add(Reason::DifferentOnRepeat, comfort::DIFFERENT_ON_REPEAT * self.differences(flip, moved));
        }
        let own_comfort = choices[..flips.len()].iter().map(|choice| choice.comfort_at(timing)).sum::<u32>();
        add(Reason::HurriesAnother, together.comfort.saturating_sub(others.comfort + own_comfort));
        parts.retain(|part| part.cost > 0);
        parts.sort_by_key(|part| (std::cmp::Reverse(part.cost), part.reason));
        PlaceCost {
            at,
            played_bar: place.played_bar,
            hand,
            rushed: together.rushed.saturating_sub(others.rushed),
            comfort: parts.iter().map(|part| part.cost).sum(),
            parts,
            needed: timing.needed,
            available: timing.slack.map(|slack| Seconds::new(timing.needed.get() * slack)),
        }
    }

    /// On how many other times through its bar a flip would be made differently, as the comfort table counts them.
    fn differences(&self, flip: usize, choice_of: impl Fn(usize) -> Choice) -> u32 {
        let pairs = self.first_times.iter().enumerate().filter_map(|(index, first)| Some((index, (*first)?)));
        let touching = pairs.filter(|&(index, first)| index == flip || first == flip);
        let differing =
            touching.filter(|&(index, first)| is_elsewhere(&self.bench, &choice_of(index), &choice_of(first)));
        u32::try_from(differing.count()).unwrap_or(u32::MAX / 4)
    }
}
