//! Flips that every plan makes which plays as many notes.

use std::rc::Rc;

use super::super::bench::Bench;
use super::super::cost::Cost;
use super::super::demand::{Component, Ways, is_respelled};
use super::super::need::Need;
use crate::harp::{LeverState, StringNumber};
use crate::score::Stroke;

/// What can be plucked on each string.
pub(in super::super) struct Certain<'a> {
    bench: &'a Bench<'a>,
    /// For each string the plucks that it may get, in order.
    strings: Vec<Vec<Candidate>>,
}

/// A pluck that a string may get.
#[derive(Clone, Copy, Debug)]
pub(in super::super) struct Candidate {
    pub pluck: usize,
    pub state: LeverState,
    /// Whether it gets it in every plan that plays as many notes: no other string has the note, and no other note comes in its way.
    pub is_certain: bool,
}

impl<'a> Certain<'a> {
    pub fn of(bench: &'a Bench<'a>, ways: &Ways, components: &[(Rc<Component>, Cost)]) -> Certain<'a> {
        let performance = bench.request.performance;
        let mut strings = vec![Vec::new(); bench.request.harp.strings().len()];
        for (component, _) in components {
            for (moment, group) in component.moments.iter().enumerate() {
                for &pluck in group {
                    let plucked = &performance.plucks()[pluck];
                    let ways = ways.to_sound(plucked.pitch.midi());
                    let sweeps_by = |&(string, _): &(StringNumber, LeverState)| {
                        plucked.stroke == Stroke::Swept && is_respelled(bench.request.harp, plucked, string)
                    };
                    let is_certain = ways.len() == 1
                        && !ways.iter().any(sweeps_by)
                        && !component.is_crowded(moment, performance)
                        && !bench.wishes.may_leave_out(pluck, plucked.at);
                    for &(string, state) in ways {
                        strings[string.index()].push(Candidate { pluck, state, is_certain });
                    }
                }
            }
        }
        Certain { bench, strings }
    }

    /// The plucks that a string may get, in order.
    pub fn candidates(&self, string: StringNumber) -> &[Candidate] {
        self.strings.get(string.index()).map_or(&[], Vec::as_slice)
    }

    /// Whether every plan that plays as many notes makes this flip: it gets both its notes in any case, and no other between.
    pub fn is_made(&self, need: &Need) -> bool {
        let (Some(after), Some(pluck)) = (need.window.after, need.pluck) else { return false };
        let candidates = self.candidates(need.string);
        let here = candidates.partition_point(|candidate| candidate.pluck < pluck);
        let (Some(before), Some(own)) = (here.checked_sub(1).map(|before| candidates[before]), candidates.get(here))
        else {
            return false;
        };
        let plucked_at = self.bench.request.performance.plucks()[before.pluck].at;
        own.pluck == pluck && own.is_certain && before.is_certain && before.state != own.state && plucked_at == after
    }
}
