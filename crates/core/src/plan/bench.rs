//! What one flip costs at one place with one hand, as if it were the only flip there is.

use super::comfort;
use super::cost::Cost;
use super::hand_track::{HandTracks, Timing};
use super::need::{Need, Needs};
use super::places::{Candidates, Place, Places};
use super::sounding::Sounding;
use super::wishes::Wishes;
use super::{RefusedEdit, Request};
use crate::score::Hand;
use crate::time::{ScoreTime, Ticks};

/// Everything that the search measures with.
pub(super) struct Bench<'a> {
    pub request: &'a Request<'a>,
    pub tracks: HandTracks<'a>,
    pub needs: Needs<'a>,
    pub wishes: Wishes,
    places: Places<'a>,
}

/// A flip's place and hand, with what they cost.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Choice {
    pub place: Place,
    pub hand: Hand,
    /// The time of this one flip as a movement of its own.
    pub timing: Timing,
    /// Its comfort but for how tight the time is.
    pub base_comfort: u32,
    /// Rushed and comfort.
    pub cost: Cost,
}

impl Choice {
    /// What the flip costs in a movement with another timing, its rushing aside.
    pub fn comfort_at(&self, timing: Timing) -> u32 {
        self.base_comfort + comfort::of_slack(timing.slack)
    }
}

impl<'a> Bench<'a> {
    pub fn new(request: &'a Request<'a>) -> Bench<'a> {
        let Request { performance, harp, tempo, .. } = *request;
        let sounding = Sounding::of(request);
        let tracks = HandTracks::new(request, &sounding);
        let places = Places::new(performance, tempo, &tracks);
        Bench {
            request,
            tracks,
            needs: Needs { performance, harp, tempo, sounding },
            wishes: Wishes::of(request),
            places,
        }
    }

    /// Whether any moment lies inside the need's window.
    pub fn has_room(&self, need: &Need) -> bool {
        !self.candidates(need).is_empty()
    }

    /// Whether the player has decided about the flip.
    pub fn is_locked(&self, need: &Need) -> bool {
        self.wishes.has(&need.name)
    }

    /// What the player has decided and these flips don't carry out.
    pub fn refused(&self, needs: &[Need], choices: &[Choice]) -> Vec<RefusedEdit> {
        self.wishes.refused(needs, choices, |need| self.wished_moment(need))
    }

    /// The cheapest choice for a flip by itself; of equal ones the latest place, the left hand before the right.
    pub fn best_alone(&self, need: &Need) -> Option<Choice> {
        let mut best: Option<Choice> = None;
        for place in self.candidates(need).latest_first() {
            let least = least_cost_at(place, need);
            if best.is_some_and(|best| least > best.cost) {
                break;
            }
            if best.is_some_and(|best| with_strength(least, place) >= best.cost) {
                continue;
            }
            for hand in self.hands(need) {
                let choice = self.choice(need, place, hand);
                if best.is_none_or(|best| choice.cost < best.cost) {
                    best = Some(choice);
                }
            }
        }
        best
    }

    /// The choices for a flip whose comfort alone costs no more than `most_comfort` and whose cost alone is `open`,
    /// cheapest first, then latest.
    pub fn choices(&self, need: &Need, most_comfort: u32, is_open: impl Fn(Cost) -> bool) -> Vec<Choice> {
        let mut choices = Vec::new();
        for place in self.candidates(need).latest_first() {
            if least_cost_at(place, need).comfort > most_comfort {
                break;
            }
            choices.extend(self.hands(need).map(|hand| self.choice(need, place, hand)));
        }
        choices.retain(|choice| choice.cost.comfort <= most_comfort && is_open(choice.cost));
        choices.sort_by_key(|choice| choice.cost);
        choices
    }

    /// The least comfort cost of any choice for a flip, rushed or not.
    pub fn least_comfort(&self, need: &Need) -> u32 {
        let mut least = u32::MAX;
        for place in self.candidates(need).latest_first() {
            if least_cost_at(place, need).comfort >= least {
                break;
            }
            least = self.hands(need).map(|hand| self.choice(need, place, hand).cost.comfort).fold(least, u32::min);
        }
        least
    }

    /// What a flip costs by itself at a moment with a hand.
    pub fn choice_at(&self, need: &Need, at: ScoreTime, hand: Hand) -> Choice {
        self.choice(need, &self.places.at(at, &self.tracks), hand)
    }

    /// A moment as a place for a flip.
    pub fn place_at(&self, at: ScoreTime) -> Place {
        self.places.at(at, &self.tracks)
    }

    /// The places strictly between two moments, in order of time.
    pub fn moments_between(&self, after: Option<ScoreTime>, before: ScoreTime) -> Vec<ScoreTime> {
        let mut moments: Vec<ScoreTime> =
            self.places.between(after, before, &self.tracks).latest_first().map(|place| place.at).collect();
        moments.reverse();
        moments
    }

    fn choice(&self, need: &Need, place: &Place, hand: Hand) -> Choice {
        let timing = self.tracks.timing(hand, place, &[need.string]);
        let base_comfort = comfort::of_strength(place.strength)
            + comfort::of_ringing(need.last.as_ref(), place)
            + comfort::of_hand(hand)
            + comfort::of_leap(self.tracks.leap_near(!hand, place))
            + comfort::of_distance(place.at, need.window.before);
        let comfort = base_comfort + comfort::of_slack(timing.slack);
        let cost = Cost { rushed: u32::from(timing.is_rushed()), comfort, ..Cost::NONE };
        Choice { place: *place, hand, timing, base_comfort, cost }
    }

    fn candidates(&self, need: &Need) -> Candidates<'_> {
        match self.wished_moment(need) {
            Some(moment) => Candidates::Only(self.places.at(moment, &self.tracks)),
            None => self.places.between(need.room.after, need.room.before, &self.tracks),
        }
    }

    fn hands(&self, need: &Need) -> impl Iterator<Item = Hand> + use<> {
        let wish = self.wishes.hand_of(&need.name);
        Hand::BOTH.into_iter().filter(move |&hand| wish.is_none_or(|wish| wish == hand))
    }

    /// The moment that the player wishes for a flip, where it lies inside the window: the latest time through the bar
    /// she names before the need.
    fn wished_moment(&self, need: &Need) -> Option<ScoreTime> {
        let (bar, at) = self.wishes.place_of(&need.name)?;
        let earliest = need.room.after.unwrap_or(ScoreTime::START - Ticks::new(1));
        let bars = self.request.performance.bars();
        let last = self.request.performance.bar_at(need.window.before);
        bars[..=last]
            .iter()
            .rev()
            .take_while(|played| played.ends() > earliest)
            .filter(|played| played.bar == bar && at < played.length)
            .map(|played| played.starts + at)
            .find(|&moment| moment > earliest && moment < need.room.before)
    }
}

/// No choice at this place, or at one before it, costs less.
fn least_cost_at(place: &Place, need: &Need) -> Cost {
    Cost { comfort: comfort::of_distance(place.at, need.window.before), ..Cost::NONE }
}

/// No choice at this place costs less.
fn with_strength(least: Cost, place: &Place) -> Cost {
    Cost { comfort: least.comfort + comfort::of_strength(place.strength), ..least }
}
