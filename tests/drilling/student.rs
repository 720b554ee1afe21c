//! A simulated student, who knows what she did.
//!
//! She scatters about a habit of her own, drifts, and commits at most one fault in a pass. Faults are made large enough
//! to be beyond doubt (a hesitation is at least half as long again as the limit, a steady player's scatter at most half
//! the limit): what lies on the limit itself has no truth that could be known.

use leverlane_core::harp::LeverState;
use leverlane_core::pitch::{Cents, MidiNote};
use leverlane_core::time::Seconds;
use leverlane_core::verdict::{
    Ear, Evidence, ExpectedPass, FlipOutcome, HeardNote, LeverEvidence, LeverHeard, Steadiness, Thresholds,
};

use crate::random::Random;

/// What she does wrong in a pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fault {
    None,
    Forgets,
    HalfWay,
    Late,
    Hesitates,
    Hurries,
    LeavesOut,
    AddsNotes,
    Scatters,
}

impl Fault {
    pub const ALL: [Fault; 9] = [
        Fault::None,
        Fault::Forgets,
        Fault::HalfWay,
        Fault::Late,
        Fault::Hesitates,
        Fault::Hurries,
        Fault::LeavesOut,
        Fault::AddsNotes,
        Fault::Scatters,
    ];
}

/// What she knows of the pass she has played.
#[derive(Clone, Debug)]
pub struct Truth {
    /// For each expected flip.
    pub flips: Vec<FlipOutcome>,
    pub steady: Steadiness,
    /// For each expected note, when it was played; none where it was left out.
    pub played: Vec<Option<f64>>,
}

pub struct Student {
    pub random: Random,
    /// How early (negative) or late she plays as a habit; tapping musicians are 10 to 30 ms early (from memory).
    pub habit: f64,
    /// Her scatter; practised musicians tap within 15 to 25 ms (from memory).
    pub scatter: f64,
    /// How much a second she runs away from the click.
    pub drift: f64,
}

impl Student {
    pub fn seeded(seed: u64) -> Student {
        let mut random = Random::seeded(seed);
        let (habit, scatter) = (random.between(-0.03, 0.01), random.between(0.008, 0.020));
        let drift = random.normal(0.000_5);
        Student { random, habit, scatter, drift }
    }

    /// Plays a pass with one fault, on the first flip where it is one of flips.
    pub fn play(&mut self, pass: &ExpectedPass, fault: Fault, limits: &Thresholds) -> (Evidence, Truth) {
        let flip = pass.flips[0];
        let telling = flip.told_by;
        let outcome = match (telling, fault) {
            (None, _) => FlipOutcome::Unheard,
            (_, Fault::Forgets) => FlipOutcome::Missed,
            (_, Fault::HalfWay) => FlipOutcome::Half,
            (_, Fault::Late) => FlipOutcome::Late,
            _ => FlipOutcome::Clean,
        };
        let times = self.times(pass, fault, limits);
        let played = self.left_out(pass, fault, limits, times);
        let mut evidence = Evidence { ear: Ear::Exact, ..Evidence::default() };
        for (index, at) in played.iter().enumerate() {
            let Some(at) = *at else { continue };
            let pitch = self.pitch(pass, index, outcome);
            evidence.heard.push(heard(at, pitch));
            if telling == Some(index) && outcome == FlipOutcome::Late {
                let (state, changed) = match flip.to {
                    LeverState::Up => (LeverHeard::Open, LeverHeard::Up),
                    LeverState::Down => (LeverHeard::Up, LeverHeard::Open),
                };
                let (string, at) = (flip.string, Seconds::new(at));
                evidence.levers.push(LeverEvidence { string, at, state, changed_to: Some(changed) });
            }
        }
        if fault == Fault::AddsNotes {
            let end = pass.notes.last().map_or(0.0, |note| note.at.get());
            for _ in 0..=limits.wrong_among(pass.notes.len()) {
                let at = self.random.between(0.0, end);
                // No harp string of the piece lies so low.
                evidence.heard.push(heard(at, 20.0 + self.random.below(8) as f64));
            }
        }
        evidence.heard.sort_by(|a, b| a.at.get().total_cmp(&b.at.get()));
        let mut flips: Vec<_> = pass.flips.iter().map(|flip| told(flip.told_by)).collect();
        flips[0] = outcome;
        let steady = match fault {
            Fault::None if flips.contains(&FlipOutcome::Unheard) => Steadiness::Unheard,
            Fault::None => Steadiness::Steady,
            _ => Steadiness::NotYet,
        };
        (evidence, Truth { flips, steady, played })
    }

    fn times(&mut self, pass: &ExpectedPass, fault: Fault, limits: &Thresholds) -> Vec<f64> {
        let flip = pass.flips[0];
        let limit = limits.hesitation(flip.beat).get();
        let shift = match fault {
            Fault::Hesitates => (limit * self.random.between(1.6, 2.5)).min(0.9 * flip.beat.get()).max(limit + 0.05),
            Fault::Hurries => -(limit * self.random.between(1.6, 2.0)).min(0.4 * flip.beat.get()).max(limit + 0.03),
            _ => 0.0,
        };
        let scatter = match fault {
            Fault::Scatters => limits.spread.get() * 3.0,
            _ => self.scatter,
        };
        let mut times = Vec::new();
        for note in &pass.notes {
            let at = note.at.get();
            let mut shifted = at + self.habit + self.drift * at + self.random.normal(scatter);
            if at >= flip.at.get() - 1e-3 {
                // She finds back to the click over some beats: half of the rest is left after two.
                let beats = (at - flip.at.get()) / flip.beat.get();
                shifted += shift * 0.5_f64.powf((beats - 1.0).max(0.0) / 2.0);
            }
            times.push(shifted);
        }
        times
    }

    fn left_out(
        &mut self,
        pass: &ExpectedPass,
        fault: Fault,
        limits: &Thresholds,
        times: Vec<f64>,
    ) -> Vec<Option<f64>> {
        let mut played: Vec<Option<f64>> = times.into_iter().map(Some).collect();
        let telling: Vec<usize> = pass.flips.iter().filter_map(|flip| flip.told_by).collect();
        let mut left = if fault == Fault::LeavesOut { limits.wrong_among(pass.notes.len()) + 1 } else { 0 };
        while left > 0 {
            let note = self.random.below(played.len());
            // The notes that tell of flips are played: what became of the flip is then known.
            if played[note].is_some() && !telling.contains(&note) {
                played[note] = None;
                left -= 1;
            }
        }
        played
    }

    /// What a note sounds, in semitones of MIDI. A flip that went wrong is heard until the string's next flip.
    fn pitch(&mut self, pass: &ExpectedPass, index: usize, outcome: FlipOutcome) -> f64 {
        let (note, flip) = (pass.notes[index], pass.flips[0]);
        let open = f64::from(flip.open.midi().get());
        let next = pass.flips[1..].iter().find(|other| other.string == flip.string).map(|other| other.at.get());
        let concerned = note.string == Some(flip.string)
            && note.at.get() > flip.at.get()
            && next.is_none_or(|next| note.at.get() < next);
        let tuned = self.random.normal(0.03);
        let (old, new) = match flip.to {
            LeverState::Up => (open, open + 1.0),
            LeverState::Down => (open + 1.0, open),
        };
        let is_telling = flip.told_by == Some(index);
        tuned
            + match outcome {
                FlipOutcome::Missed if concerned => old,
                FlipOutcome::Half if concerned => open + self.random.between(0.32, 0.68),
                FlipOutcome::Late if concerned && is_telling => old,
                _ if concerned => new,
                _ => f64::from(note.note.get()),
            }
    }
}

fn told(by: Option<usize>) -> FlipOutcome {
    if by.is_some() { FlipOutcome::Clean } else { FlipOutcome::Unheard }
}

fn heard(at: f64, semitones: f64) -> HeardNote {
    let nearest = semitones.round();
    HeardNote {
        at: Seconds::new(at),
        note: MidiNote::new(nearest as u8).unwrap(),
        cents: Cents::new((semitones - nearest) * 100.0),
        certainty: 1.0,
    }
}
