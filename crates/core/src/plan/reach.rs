//! How long a hand takes to each lever and back, from everywhere that it stands in a piece.
//!
//! A hand stands in few places and is asked about often, so every way is reckoned once.

use std::collections::BTreeMap;

use super::HandPace;
use crate::harp::{Harp, Millimetres, StringNumber};
use crate::time::Seconds;

/// A place at which a hand stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Spot(usize);

/// A hand's way to one lever: out, its flip included, and back, placed for the next pluck.
#[derive(Clone, Copy, Debug)]
struct Way {
    out: Seconds,
    back: Seconds,
}

/// All ways between the spots of a piece and the levers of a harp.
pub(super) struct Reaches<'a> {
    harp: &'a Harp,
    pace: &'a HandPace,
    /// For each spot, the ways to the levers from the top string.
    ways: Vec<Vec<Way>>,
    /// Known spots, by the bits of their place across.
    spots: BTreeMap<u64, Spot>,
}

impl<'a> Reaches<'a> {
    /// Below the lever itself: where a hand waits that has nothing to play before, or whose notes are off the harp.
    pub const AT_THE_LEVER: Spot = Spot(0);

    pub fn new(harp: &'a Harp, pace: &'a HandPace) -> Reaches<'a> {
        let mut reaches = Reaches { harp, pace, ways: Vec::new(), spots: BTreeMap::new() };
        reaches.add(|_| 0.0);
        reaches
    }

    /// The spot of a hand that is so many millimetres across from the top string; none where its notes are off the harp.
    pub fn spot(&mut self, across: Option<f64>) -> Spot {
        let Some(across) = across else { return Reaches::AT_THE_LEVER };
        match self.spots.get(&across.to_bits()) {
            Some(&spot) => spot,
            None => {
                let spot = self.add(|string| across - string);
                self.spots.insert(across.to_bits(), spot);
                spot
            }
        }
    }

    fn add(&mut self, sideways: impl Fn(f64) -> f64) -> Spot {
        let ways = self.harp.numbered().map(|(_, string)| {
            let reach = sideways(string.place.across.get()).hypot(string.place.lever_above.get());
            let reach = Millimetres::new(reach);
            Way { out: self.pace.out(reach), back: self.pace.back(reach) }
        });
        self.ways.push(ways.collect());
        Spot(self.ways.len() - 1)
    }

    /// From a spot until the levers of these strings are moved in one motion; the farthest decides.
    pub fn out(&self, from: Spot, strings: &[StringNumber]) -> Seconds {
        let further = self.pace.further_lever() * strings.len().saturating_sub(1) as f64;
        self.longest(from, strings, |way| way.out) + further
    }

    /// From there back to a spot, placed.
    pub fn back(&self, to: Spot, strings: &[StringNumber]) -> Seconds {
        self.longest(to, strings, |way| way.back)
    }

    /// From one lever moved to another one, and the further ones of its motion.
    pub fn on_to(&self, levers: usize) -> Seconds {
        self.pace.lever_to_lever() + self.pace.further_lever() * levers.saturating_sub(1) as f64
    }

    fn longest(&self, spot: Spot, strings: &[StringNumber], of: impl Fn(&Way) -> Seconds) -> Seconds {
        let ways = strings.iter().filter_map(|string| self.ways[spot.0].get(string.index()).map(&of));
        ways.fold(Seconds::ZERO, |longest, way| if way > longest { way } else { longest })
    }
}
