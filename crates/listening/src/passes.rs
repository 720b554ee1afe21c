//! Which pass a note belongs to.

use std::collections::VecDeque;

use leverlane_core::time::Seconds;
use leverlane_core::verdict::{Ear, Evidence, HeardNote};
use leverlane_sound::{Played, SampleIndex, SampleRate, Sounding};

/// A note that comes so little before a pass begins is an early first note of it, not a late last one of the pass before
/// (players are early rather than late, by some 10–30 ms: from memory).
const EARLY: Seconds = Seconds::new(0.1);
/// A pass is over for the listener once so much has been heard after it: notes are told a quarter of a second late, and
/// those of a chord one after the other.
const TOLD_LATE: Seconds = Seconds::new(0.7);
/// So long after its last note a string is still listened to: a lever that is moved too late bends it.
const RINGS_OUT: Seconds = Seconds::new(1.0);
/// Passes remembered.
const REMEMBERED: usize = 16;

/// What was heard of a pass that is over.
#[derive(Clone, Debug, PartialEq)]
pub struct PassEvidence {
    /// The pass's number, from 0 at the start of playing.
    pub pass: u64,
    /// Which of the loaded programs it played, from 0 in the order in which they were loaded.
    pub program: u64,
    /// What was heard, by times from its start.
    pub evidence: Evidence,
    /// Whether all of it was heard: no sound was lost, and both clocks were known throughout.
    pub whole: Wholeness,
}

/// A pass that is over, and where it began by the count of what is played.
pub(crate) struct OverPass {
    pub(crate) begins: SampleIndex,
    pub(crate) told: PassEvidence,
}

/// Whether a pass was heard from beginning to end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Wholeness {
    /// All of it.
    Whole,
    /// Something is missing: what was not heard may have been played.
    Broken,
}

/// How a pass stands with whoever is told of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Telling {
    /// It is still listened to.
    Open,
    /// It was told.
    Told,
}

#[derive(Debug)]
struct Pass {
    number: u64,
    program: u64,
    begins: SampleIndex,
    /// Where the next begins, or the playing ends.
    ends: Option<SampleIndex>,
    heard: Vec<HeardNote>,
    whole: Wholeness,
    telling: Telling,
}

/// Keeps the passes that are heard just now.
#[derive(Debug)]
pub(crate) struct Passes {
    rate: SampleRate,
    passes: VecDeque<Pass>,
}

impl Passes {
    pub(crate) fn new(rate: SampleRate) -> Passes {
        Passes { rate, passes: VecDeque::new() }
    }

    /// Takes note of what is played. A pass that is stopped midway is no pass.
    pub(crate) fn note(&mut self, played: Played) {
        match played.what {
            Sounding::Pass { number, program } => {
                if let Some(last) = self.passes.back_mut() {
                    last.ends.get_or_insert(played.at);
                }
                if self.passes.len() == REMEMBERED {
                    self.passes.pop_front();
                }
                let whole = Wholeness::Whole;
                self.passes.push_back(Pass {
                    number,
                    program,
                    begins: played.at,
                    ends: None,
                    heard: Vec::new(),
                    whole,
                    telling: Telling::Open,
                });
            }
            Sounding::Stop => {
                self.passes.retain(|pass| pass.ends.is_some());
            }
            _ => {}
        }
    }

    /// The pass that a sample belongs to by the count of what is played, and how far into it the sample lies.
    pub(crate) fn place(&self, at: SampleIndex) -> Option<(u64, Seconds)> {
        let pass = self.passes.iter().rev().find(|pass| self.seconds_into(pass, at) >= -EARLY.get())?;
        Some((pass.number, Seconds::new(self.seconds_into(pass, at))))
    }

    fn seconds_into(&self, pass: &Pass, at: SampleIndex) -> f64 {
        (at.get() as f64 - pass.begins.get() as f64) / f64::from(self.rate.get())
    }

    /// Adds a note to its pass.
    pub(crate) fn hear(&mut self, number: u64, note: HeardNote) {
        if let Some(pass) = self.passes.iter_mut().find(|pass| pass.number == number) {
            pass.heard.push(note);
        }
    }

    /// Something was lost: every pass that is not over is broken.
    pub(crate) fn break_off(&mut self) {
        for pass in &mut self.passes {
            pass.whole = Wholeness::Broken;
        }
    }

    /// The next pass that is over, once what is played on this sample has been heard. One that began before notes could
    /// be placed is broken. Where `last_note` says when the last note of a program stands, a pass of it is over for the
    /// listener soon after that, and needn't have ended.
    pub(crate) fn next_over(
        &mut self,
        heard_until: SampleIndex,
        places_from: SampleIndex,
        last_note: impl Fn(u64) -> Option<Seconds>,
    ) -> Option<OverPass> {
        let samples = |time: Seconds| (time.get().max(0.0) * f64::from(self.rate.get())) as u64;
        let told_late = samples(TOLD_LATE);
        let is_past = |pass: &Pass| {
            let ended = pass.ends.is_some_and(|ends| heard_until.get() >= ends.get() + told_late);
            pass.telling == Telling::Told && ended
        };
        while self.passes.front().is_some_and(is_past) {
            self.passes.pop_front();
        }
        let pass = self.passes.iter().position(|pass| pass.telling == Telling::Open)?;
        let pass = &mut self.passes[pass];
        let rung_out = last_note(pass.program).map(|last| pass.begins.get() + samples(last + RINGS_OUT) + told_late);
        let over = rung_out.or(pass.ends.map(|ends| ends.get() + told_late))?;
        if heard_until.get() < over {
            return None;
        }
        pass.telling = Telling::Told;
        let whole = if pass.begins < places_from { Wholeness::Broken } else { pass.whole };
        let mut heard = std::mem::take(&mut pass.heard);
        heard.sort_by(|a, b| a.at.get().total_cmp(&b.at.get()));
        let evidence = Evidence { ear: Ear::Microphone, heard, ..Evidence::default() };
        let told = PassEvidence { pass: pass.number, program: pass.program, evidence, whole };
        Some(OverPass { begins: pass.begins, told })
    }
}
