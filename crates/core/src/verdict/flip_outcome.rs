//! What became of each flip.

use super::answer::{FlipOutcome, FlipVerdict};
use super::evidence::{Ear, Evidence, LeverEvidence, LeverHeard};
use super::expected::{ExpectedFlip, ExpectedPass};
use super::matching::Match;
use super::steadiness::{CERTAIN_ENOUGH, hesitation};
use super::thresholds::Thresholds;
use crate::harp::LeverState;
use crate::pitch::Cents;
use crate::time::Seconds;

/// A finding this near to a note that was heard is about that pluck, in seconds.
const SAME_PLUCK: f64 = 0.02;

pub(super) fn flips(
    expected: &ExpectedPass,
    evidence: &Evidence,
    matched: &[Option<Match>],
    thresholds: &Thresholds,
) -> Vec<FlipVerdict> {
    let taps = taps_of_flips(expected, evidence.taps.as_deref().unwrap_or_default());
    let verdict = |(flip, tap): (&ExpectedFlip, Option<Seconds>)| {
        let heard = FlipEar { flip, expected, evidence, matched, thresholds }.heard();
        FlipVerdict {
            string: flip.string,
            to: flip.to,
            outcome: match heard.outcome {
                FlipOutcome::Unheard => outcome_by_tap(flip, expected, evidence, tap),
                outcome => outcome,
            },
            cents: heard.cents,
            tap_error: tap.map(|tap| tap - flip.at),
            hesitation: hesitation(flip, expected, matched),
        }
    };
    expected.flips.iter().zip(taps).map(verdict).collect()
}

/// What the sound says of a flip.
struct Heard {
    outcome: FlipOutcome,
    cents: Option<Cents>,
}

impl Heard {
    const NOTHING: Heard = Heard { outcome: FlipOutcome::Unheard, cents: None };
}

/// What a flip is judged by.
struct FlipEar<'a> {
    flip: &'a ExpectedFlip,
    expected: &'a ExpectedPass,
    evidence: &'a Evidence,
    matched: &'a [Option<Match>],
    thresholds: &'a Thresholds,
}

impl FlipEar<'_> {
    /// What the note that should tell of it says, or else the string's next ones.
    fn heard(&self) -> Heard {
        let Some(telling) = self.flip.told_by else { return Heard::NOTHING };
        match self.at_note(telling) {
            Heard { outcome: FlipOutcome::Unheard, .. } => {
                let later = later_notes(telling, self.flip, self.expected).map(|note| self.at_note(note));
                let mut says = later.filter(|heard| heard.outcome != FlipOutcome::Unheard);
                // A lever that stands right by then may have come on its beat or after it.
                says.next().filter(|heard| heard.outcome != FlipOutcome::Clean).unwrap_or(Heard::NOTHING)
            }
            heard => heard,
        }
    }

    /// What a note of the string says of the lever.
    fn at_note(&self, note: usize) -> Heard {
        let FlipEar { flip, expected, evidence, matched, thresholds } = *self;
        let pair = matched.get(note).copied().flatten();
        let pluck = pair.map_or(expected.notes[note].at, |pair| evidence.heard[pair.heard].at);
        let other_plucks: Vec<Seconds> = expected
            .notes
            .iter()
            .zip(matched)
            .enumerate()
            .filter(|(index, (other, _))| *index != note && other.string == Some(flip.string))
            .filter_map(|(_, (_, pair))| Some(evidence.heard[(*pair)?.heard].at))
            .collect();
        if let Some(found) = lever_evidence(flip, evidence, pluck, &other_plucks) {
            return by_lever(flip, found);
        }
        let Some(pair) = pair else { return Heard::NOTHING };
        let heard = evidence.heard[pair.heard];
        if heard.certainty < CERTAIN_ENOUGH {
            return Heard::NOTHING;
        }
        let raise = Cents::new(heard.pitch().get() - f64::from(flip.open.midi().get()) * Cents::SEMITONE.get());
        let half = thresholds.half_way.get();
        let state = match raise.get() {
            low if low < half => LeverHeard::Open,
            high if high > Cents::SEMITONE.get() - half => LeverHeard::Up,
            _ => LeverHeard::Half(raise),
        };
        Heard { outcome: outcome_of(flip, state), cents: Some(raise) }
    }
}

/// The string's notes after the one that should tell of a flip, up to its next flip.
fn later_notes(telling: usize, flip: &ExpectedFlip, expected: &ExpectedPass) -> impl Iterator<Item = usize> {
    let others = expected.flips.iter().filter(|other| other.string == flip.string && other.at.get() > flip.at.get());
    let next = others.map(|other| other.at.get()).fold(f64::INFINITY, f64::min);
    let notes = expected.notes.iter().enumerate().skip(telling + 1);
    notes.filter(move |(_, note)| note.string == Some(flip.string) && note.at.get() < next).map(|(index, _)| index)
}

/// The finding about this string that lies nearest to its pluck, within half a beat, and is not about another pluck of it.
fn lever_evidence<'a>(
    flip: &ExpectedFlip,
    evidence: &'a Evidence,
    pluck: Seconds,
    other_plucks: &[Seconds],
) -> Option<&'a LeverEvidence> {
    let distance = |found: &LeverEvidence| (found.at - pluck).get().abs();
    let is_others =
        |found: &LeverEvidence| other_plucks.iter().any(|other| (found.at - *other).get().abs() < SAME_PLUCK);
    let of_string = evidence.levers.iter().filter(|found| found.string == flip.string);
    let near = of_string.filter(|found| distance(found) <= flip.beat.get() / 2.0 && !is_others(found));
    near.min_by(|a, b| distance(a).total_cmp(&distance(b)))
}

fn by_lever(flip: &ExpectedFlip, found: &LeverEvidence) -> Heard {
    let cents = match found.state {
        LeverHeard::Open => Some(Cents::new(0.0)),
        LeverHeard::Up => Some(Cents::SEMITONE),
        LeverHeard::Half(cents) => Some(cents),
        LeverHeard::Unsure => None,
    };
    let at_pluck = outcome_of(flip, found.state);
    let arrived = found.changed_to.is_some_and(|state| outcome_of(flip, state) == FlipOutcome::Clean);
    let outcome = match at_pluck {
        FlipOutcome::Missed | FlipOutcome::Half if arrived => FlipOutcome::Late,
        outcome => outcome,
    };
    Heard { outcome, cents }
}

fn outcome_of(flip: &ExpectedFlip, state: LeverHeard) -> FlipOutcome {
    match (state, flip.to) {
        (LeverHeard::Unsure, _) => FlipOutcome::Unheard,
        (LeverHeard::Half(_), _) => FlipOutcome::Half,
        (LeverHeard::Up, LeverState::Up) | (LeverHeard::Open, LeverState::Down) => FlipOutcome::Clean,
        (LeverHeard::Up, LeverState::Down) | (LeverHeard::Open, LeverState::Up) => FlipOutcome::Missed,
    }
}

/// For each flip the tap that is nearest to its beat, within a beat. One gesture's flips share one tap, for one foot
/// tells of one movement.
fn taps_of_flips(expected: &ExpectedPass, taps: &[Seconds]) -> Vec<Option<Seconds>> {
    let nearest = |flip: &ExpectedFlip| {
        let distance = |tap: &Seconds| (*tap - flip.at).get().abs();
        let owner = |tap: &Seconds| {
            let distances = expected.flips.iter().map(|other| (*tap - other.at).get().abs());
            distances.fold(f64::INFINITY, f64::min)
        };
        // A tap tells of the flip it is nearest to, of no other.
        let own = taps.iter().copied().filter(|tap| distance(tap) <= owner(tap) && distance(tap) < flip.beat.get());
        own.min_by(|a, b| distance(a).total_cmp(&distance(b)))
    };
    expected.flips.iter().map(nearest).collect()
}

/// What the taps say where the sound says nothing. A missing tap counts as a missed flip only where taps are all there
/// is: a player whose notes are heard too may have been too busy to tap.
fn outcome_by_tap(
    flip: &ExpectedFlip,
    expected: &ExpectedPass,
    evidence: &Evidence,
    tap: Option<Seconds>,
) -> FlipOutcome {
    let pluck = flip.told_by.map(|note| expected.notes[note].at);
    match (tap, pluck) {
        (Some(tap), Some(pluck)) if tap > pluck => FlipOutcome::Late,
        (Some(_), _) => FlipOutcome::Clean,
        (None, _) if evidence.taps.is_some() && evidence.ear == Ear::Closed => FlipOutcome::Missed,
        (None, _) => FlipOutcome::Unheard,
    }
}
