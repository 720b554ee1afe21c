//! Plucks that sound a little before or after the instant at which they are written.
//!
//! Grace notes take their time from what goes before, and the note they lead to stays on its beat; the first string of a
//! rolled chord is on the beat and the others follow it (common practice; older music begins graces on the beat).

use super::{Performance, Pluck};
use crate::score::Roll;
use crate::time::Seconds;

/// How long a grace note has before the next one or the note it leads to, at any tempo (a working value of ours). That
/// note itself stays on its beat.
pub const GRACE_STEP: Seconds = Seconds::new(0.08);

/// Where a pluck falls beside its written instant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OffBeat {
    /// On it.
    OnIt,
    /// So many steps of [`GRACE_STEP`] before it, of so many that its hand takes there.
    Before {
        /// Its own; at least 1.
        steps: usize,
        /// Those of the hand's first grace.
        of: usize,
    },
    /// So many strings of its rolled chord after it, of so many that follow the first.
    After {
        /// Its own; at least 1.
        steps: usize,
        /// Those of the chord's last string.
        of: usize,
    },
}

impl Performance {
    /// Where a pluck falls beside its written instant. Both hands' strings of a rolled chord make one roll; each hand's
    /// graces are counted back from its own note, chords of graces together.
    pub fn off_beat(&self, pluck: usize) -> OffBeat {
        let Some(plucked) = self.plucks.get(pluck) else { return OffBeat::OnIt };
        if plucked.grace_order < u8::MAX {
            let mut orders: Vec<u8> = self
                .together_with(pluck)
                .iter()
                .filter(|other| other.hand == plucked.hand && other.grace_order < u8::MAX)
                .map(|other| other.grace_order)
                .collect();
            orders.dedup();
            let earlier = orders.iter().filter(|&&order| order < plucked.grace_order).count();
            return OffBeat::Before { steps: orders.len() - earlier, of: orders.len() };
        }
        let Some(roll) = plucked.roll else { return OffBeat::OnIt };
        let is_earlier = |one: &Pluck, other: &Pluck| match roll {
            Roll::Up => one.pitch.midi() < other.pitch.midi(),
            Roll::Down => one.pitch.midi() > other.pitch.midi(),
        };
        let chord: Vec<&Pluck> = self
            .together_with(pluck)
            .iter()
            .filter(|other| other.grace_order == u8::MAX && other.roll == Some(roll))
            .collect();
        let before = |one: &Pluck| chord.iter().filter(|other| is_earlier(other, one)).count();
        match before(plucked) {
            0 => OffBeat::OnIt,
            steps => OffBeat::After { steps, of: chord.iter().map(|other| before(other)).max().unwrap_or(steps) },
        }
    }

    /// The plucks of the same instant, graces included.
    fn together_with(&self, pluck: usize) -> &[Pluck] {
        let at = self.plucks[pluck].at;
        let before = self.plucks[..pluck].iter().rev().take_while(|other| other.at == at).count();
        let after = self.plucks[pluck..].iter().take_while(|other| other.at == at).count();
        &self.plucks[pluck - before..pluck + after]
    }
}
