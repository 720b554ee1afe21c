//! The player's decisions, sorted by what they are about, and what can't be done of them.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use super::bench::Choice;
use super::demand::is_respelled;
use super::need::Need;
use super::{Edit, FlipName, Refusal, RefusedEdit, Request};
use crate::harp::{LeverState, StringNumber};
use crate::score::{BarIndex, Hand, NoteName};
use crate::time::{ScoreTime, Ticks};

/// What the player has decided about one flip.
#[derive(Clone, Copy, Debug, Default)]
struct Wish {
    place: Option<(BarIndex, Ticks)>,
    hand: Option<Hand>,
}

/// All her decisions that can be carried out, as far as that is known before any search.
pub(super) struct Wishes {
    flips: HashMap<FlipName, Wish>,
    presets: HashMap<StringNumber, LeverState>,
    forbidden: BTreeSet<FlipName>,
    /// Plucks whose string she has chosen, or whose flip she has placed.
    strings: HashMap<usize, StringNumber>,
    /// Plucks for which a flip is forbidden: they may have to be left out.
    may_be_left_out: BTreeSet<usize>,
    /// What can't be done.
    refused: Vec<RefusedEdit>,
}

impl Wishes {
    pub fn of(request: &Request<'_>) -> Wishes {
        let mut wishes = Wishes {
            flips: HashMap::new(),
            presets: HashMap::new(),
            forbidden: BTreeSet::new(),
            strings: HashMap::new(),
            may_be_left_out: BTreeSet::new(),
            refused: Vec::new(),
        };
        if request.edits.is_empty() {
            return wishes;
        }
        let piece = Piece::of(request);
        for (index, edit) in request.edits.iter().enumerate() {
            // A later decision takes the place of an earlier one.
            if request.edits[index + 1..].iter().any(|later| later.replaces(edit)) {
                continue;
            }
            match piece.refusal(edit) {
                Some(reason) => wishes.refused.push(RefusedEdit { edit: *edit, reason }),
                None => wishes.take(&piece, edit),
            }
        }
        wishes.refuse_collisions();
        for (name, pluck) in wishes.flips.keys().filter_map(|name| Some((name, piece.pluck_for(name)?))) {
            wishes.strings.entry(pluck).or_insert(name.string);
        }
        wishes
    }

    fn take(&mut self, piece: &Piece<'_>, edit: &Edit) {
        match *edit {
            Edit::Place { flip, bar, at } => self.flips.entry(flip).or_default().place = Some((bar, at)),
            Edit::Hand { flip, hand } => self.flips.entry(flip).or_default().hand = Some(hand),
            Edit::Preset { string, state } => {
                self.presets.insert(string, state);
            }
            Edit::Forbid { flip } => {
                self.forbidden.insert(flip);
                self.may_be_left_out.extend(piece.plucks_at(&flip));
            }
            Edit::String { note, string } => {
                self.strings.extend(piece.plucks_named(&note).map(|pluck| (pluck, string)));
            }
        }
    }

    /// Of flips fixed to one moment and one hand, only those that make one gesture with the first can be made.
    fn refuse_collisions(&mut self) {
        let mut together: BTreeMap<(BarIndex, Ticks, Hand, u32), Vec<FlipName>> = BTreeMap::new();
        let mut names: Vec<(&FlipName, &Wish)> = self.flips.iter().collect();
        names.sort_by_key(|(name, _)| **name);
        for (name, wish) in names {
            if let (Some((bar, at)), Some(hand)) = (wish.place, wish.hand) {
                together.entry((bar, at, hand, name.time_through)).or_default().push(*name);
            }
        }
        for ((bar, at, ..), flips) in together {
            let mut gesture = vec![flips[0]];
            for &flip in &flips[1..] {
                let last = gesture[gesture.len() - 1];
                if last.to == flip.to && last.string.is_beside(flip.string) {
                    gesture.push(flip);
                } else {
                    let edit = Edit::Place { flip, bar, at };
                    self.refused.push(RefusedEdit { edit, reason: Refusal::Collides(flips[0]) });
                    if let Some(wish) = self.flips.get_mut(&flip) {
                        wish.place = None;
                    }
                }
            }
        }
    }

    /// Where the player has set a lever before the start.
    pub fn preset(&self, string: StringNumber) -> Option<LeverState> {
        self.presets.get(&string).copied()
    }

    /// The string on which a pluck has to be played.
    pub fn string_of(&self, pluck: usize) -> Option<StringNumber> {
        self.strings.get(&pluck).copied()
    }

    /// Whether a flip must not be made.
    pub fn forbids(&self, name: &FlipName) -> bool {
        self.forbidden.contains(name)
    }

    /// Whether a decision of the player's may leave this pluck without a string: a flip is forbidden there, or a lever is
    /// preset against the very first note.
    pub fn may_leave_out(&self, pluck: usize, at: ScoreTime) -> bool {
        self.may_be_left_out.contains(&pluck) || at == ScoreTime::START && !self.presets.is_empty()
    }

    /// The written place that is wished for a flip.
    pub fn place_of(&self, name: &FlipName) -> Option<(BarIndex, Ticks)> {
        self.flips.get(name)?.place
    }

    /// The hand that is wished for a flip.
    pub fn hand_of(&self, name: &FlipName) -> Option<Hand> {
        self.flips.get(name)?.hand
    }

    /// Whether the player has decided about a flip.
    pub fn has(&self, name: &FlipName) -> bool {
        self.flips.contains_key(name)
    }

    /// Every decision that these flips don't carry out.
    pub fn refused(
        &self,
        needs: &[Need],
        choices: &[Choice],
        wished_moment: impl Fn(&Need) -> Option<ScoreTime>,
    ) -> Vec<RefusedEdit> {
        let mut refused = self.refused.clone();
        let mut names: Vec<FlipName> = self.flips.keys().copied().collect();
        names.sort_unstable();
        for flip in names {
            let Wish { place, hand } = self.flips[&flip];
            let place = place.map(|(bar, at)| Edit::Place { flip, bar, at });
            let hand = hand.map(|hand| Edit::Hand { flip, hand });
            let need = needs.iter().zip(choices).find(|(need, _)| need.name == flip);
            let Some((need, choice)) = need else {
                let lost = place.into_iter().chain(hand);
                refused.extend(lost.map(|edit| RefusedEdit { edit, reason: Refusal::NotNeeded }));
                continue;
            };
            if let Some(edit) = place.filter(|_| wished_moment(need) != Some(choice.place.at)) {
                refused.push(RefusedEdit { edit, reason: Refusal::OutsideTheWindow(need.window) });
            }
        }
        let made = needs.iter().filter(|need| self.forbids(&need.name));
        refused.extend(
            made.map(|need| RefusedEdit { edit: Edit::Forbid { flip: need.name }, reason: Refusal::NeededByTheLoop }),
        );
        refused
    }
}

/// The piece and the harp that decisions are about.
struct Piece<'a> {
    request: &'a Request<'a>,
}

impl<'a> Piece<'a> {
    fn of(request: &'a Request<'a>) -> Piece<'a> {
        Piece { request }
    }

    /// Why a decision can't be carried out whatever the plan.
    fn refusal(&self, edit: &Edit) -> Option<Refusal> {
        match *edit {
            Edit::Place { flip, bar, at } => self.refusal_of_flip(&flip).or_else(|| self.refusal_of_place(bar, at)),
            Edit::Hand { flip, .. } | Edit::Forbid { flip } => self.refusal_of_flip(&flip),
            Edit::Preset { string, state } => match self.request.harp.string(string) {
                None => Some(Refusal::NoSuchString),
                Some(fitted) => (!fitted.allows(state)).then_some(Refusal::NoLever),
            },
            Edit::String { note, string } => self.refusal_of_string(&note, string),
        }
    }

    fn refusal_of_flip(&self, flip: &FlipName) -> Option<Refusal> {
        let Some(string) = self.request.harp.string(flip.string) else { return Some(Refusal::NoSuchString) };
        if !string.lever.is_fitted() {
            return Some(Refusal::NoLever);
        }
        let bars = self.request.performance.bars();
        match bars.iter().find(|bar| (bar.bar, bar.earlier_times) == (flip.needed_in, flip.time_through)) {
            None => Some(Refusal::NoSuchBar),
            Some(bar) => (flip.needed_at > bar.length).then_some(Refusal::OutsideTheBar),
        }
    }

    fn refusal_of_place(&self, bar: BarIndex, at: Ticks) -> Option<Refusal> {
        match self.request.performance.bars().iter().find(|played| played.bar == bar) {
            None => Some(Refusal::NoSuchBar),
            Some(played) => (at >= played.length || at < Ticks::ZERO).then_some(Refusal::OutsideTheBar),
        }
    }

    fn refusal_of_string(&self, note: &NoteName, string: StringNumber) -> Option<Refusal> {
        let Some(wished) = self.request.harp.string(string) else { return Some(Refusal::NoSuchString) };
        if !self.request.performance.bars().iter().any(|bar| bar.bar == note.bar) {
            return Some(Refusal::NoSuchBar);
        }
        if self.plucks_named(note).next().is_none() {
            return Some(Refusal::NoSuchNote);
        }
        if wished.sounds(LeverState::Down).midi() == note.pitch.midi() {
            return None;
        }
        if wished.sounds(LeverState::Up).midi() != note.pitch.midi() {
            return Some(Refusal::StringCannotSound);
        }
        (!wished.lever.is_fitted()).then_some(Refusal::NoLever)
    }

    fn plucks_named(&self, note: &NoteName) -> impl Iterator<Item = usize> {
        let (performance, note) = (self.request.performance, *note);
        (0..performance.plucks().len()).filter(move |&pluck| performance.note_name(pluck) == Some(note))
    }

    /// The plucks at the moment that a flip is for.
    fn plucks_at(&self, flip: &FlipName) -> Vec<usize> {
        let performance = self.request.performance;
        let named =
            |bar: &&crate::score::PlayedBar| (bar.bar, bar.earlier_times) == (flip.needed_in, flip.time_through);
        let Some(at) = performance.bars().iter().find(named).map(|bar| bar.starts + flip.needed_at) else {
            return Vec::new();
        };
        let plucks = performance.plucks();
        let from = plucks.partition_point(|pluck| pluck.at < at);
        (from..plucks.len()).take_while(|&pluck| plucks[pluck].at == at).collect()
    }

    /// The pluck that a flip is for: the one at its moment that its string sounds once it is flipped, rather one that is written so
    /// than one that would be respelled.
    fn pluck_for(&self, flip: &FlipName) -> Option<usize> {
        let Request { performance, harp, .. } = *self.request;
        let sounds = harp.string(flip.string)?.sounds(flip.to).midi();
        let plucks = performance.plucks();
        let sounded = self.plucks_at(flip).into_iter().filter(|&pluck| plucks[pluck].pitch.midi() == sounds);
        sounded.min_by_key(|&pluck| is_respelled(harp, &plucks[pluck], flip.string))
    }
}
