//! Where the practice of each flip of the open piece stands, so that it goes on there when she comes back to it.

use std::collections::BTreeMap;

use leverlane_core::drill::{LadderPlan, Practice};
use leverlane_core::harp::StringNumber;
use leverlane_core::plan::Gesture;
use leverlane_core::time::Tempo;
use leverlane_diary::HeldFlip;

/// A flip as the diary knows it: when it is made, in ticks of the piece as played, and its string.
type Flip = (i64, StringNumber);

/// What was left in this sitting, and what the diary says of earlier ones.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Standings {
    left: BTreeMap<Flip, Practice>,
    held: BTreeMap<Flip, Tempo>,
}

impl Standings {
    /// Remembers where practice was left.
    pub fn leave(&mut self, gesture: &Gesture, practice: &Practice) {
        if let Some(flip) = flip_of(gesture) {
            self.left.insert(flip, practice.clone());
        }
    }

    /// What the diary says.
    pub fn learn(&mut self, held: &[HeldFlip]) {
        let tempos =
            held.iter().filter_map(|held| Some(((held.at_ticks, held.string), Tempo::quarters(held.held).ok()?)));
        self.held = tempos.collect();
    }

    /// Practice as it was left in this sitting, where its ladder is still the same.
    pub fn left_on(&self, gesture: &Gesture, plan: &LadderPlan) -> Option<&Practice> {
        self.left.get(&flip_of(gesture)?).filter(|practice| practice.ladder.plan() == plan)
    }

    /// The fastest tempo at which it was ever held with both hands.
    pub fn held(&self, gesture: &Gesture) -> Option<Tempo> {
        self.held.get(&flip_of(gesture)?).copied()
    }
}

fn flip_of(gesture: &Gesture) -> Option<Flip> {
    Some((gesture.at.since_start().get(), gesture.flips.first()?.string))
}
