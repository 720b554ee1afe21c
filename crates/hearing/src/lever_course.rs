//! The course of a lever through a pass: levers stay where they are put.
//!
//! Each pluck of a string tells alone how its lever may have stood ([`crate::lever_odds`]). Between two plucks before which
//! the same is asked of it nobody has to touch it, so a lever that was up at one is hardly open at the next: what a soft or
//! covered pluck leaves in doubt, another one of the same string decides. All plucks are weighed together, by the forward
//! and backward sums of a hidden Markov chain (Rabiner 1989, "A tutorial on hidden Markov models").

use crate::lever_odds::{LeverOutcome, OUTCOMES, PRIOR};

/// Where a lever may stand.
#[derive(Clone, Copy)]
enum Place {
    AsAsked,
    Otherwise,
    HalfWay,
}

/// How likely a lever that stood at one place after a pluck stands at each before the next (assumed by us: one that stands as
/// asked stays, one that doesn't is often seen and put right meanwhile).
const MOVES: [[f64; 3]; 3] = [[0.97, 0.02, 0.01], [0.3, 0.65, 0.05], [0.3, 0.1, 0.6]];

/// One of the things that may have become of a lever at a pluck: what is to be heard of it, and where it stood before and
/// after. Where the string was not plucked, it stood somewhere all the same.
#[derive(Clone, Copy)]
struct Case {
    outcome: LeverOutcome,
    before: Place,
    after: Place,
}

impl Case {
    const ALL: [Case; 7] = [
        Case::still(LeverOutcome::AsAsked, Place::AsAsked),
        Case::still(LeverOutcome::Otherwise, Place::Otherwise),
        Case::still(LeverOutcome::HalfWay, Place::HalfWay),
        Case { outcome: LeverOutcome::Late, before: Place::Otherwise, after: Place::AsAsked },
        Case::still(LeverOutcome::NotPlucked, Place::AsAsked),
        Case::still(LeverOutcome::NotPlucked, Place::Otherwise),
        Case::still(LeverOutcome::NotPlucked, Place::HalfWay),
    ];

    const fn still(outcome: LeverOutcome, place: Place) -> Case {
        Case { outcome, before: place, after: place }
    }

    /// How likely it is before anything was heard.
    fn at_first(self) -> f64 {
        let [as_asked, otherwise, half_way, late, not_plucked] = PRIOR;
        let stands = [as_asked, otherwise + late, half_way][self.before as usize] / (1.0 - not_plucked);
        stands * self.where_it_stands()
    }

    /// How likely it is after another.
    fn following(self, earlier: Case) -> f64 {
        MOVES[earlier.after as usize][self.before as usize] * self.where_it_stands()
    }

    /// How likely it is where the lever stands so.
    fn where_it_stands(self) -> f64 {
        let [_, otherwise, _, late, not_plucked] = PRIOR;
        let plucked = 1.0 - not_plucked;
        match self.outcome {
            LeverOutcome::AsAsked | LeverOutcome::HalfWay => plucked,
            LeverOutcome::Otherwise => plucked * otherwise / (otherwise + late),
            LeverOutcome::Late => plucked * late / (otherwise + late),
            LeverOutcome::NotPlucked => not_plucked,
        }
    }
}

/// A number for each case.
type Cases = [f64; Case::ALL.len()];

/// How likely each outcome is at each of successive plucks of a string, when all of them are heard together; `alone` says how
/// likely each is by its own sound.
pub(crate) fn together(alone: &[[f32; OUTCOMES]]) -> Vec<[f32; OUTCOMES]> {
    let told: Vec<Cases> = alone.iter().map(told).collect();
    let mut so_far: Vec<Cases> = Vec::with_capacity(told.len());
    for told in &told {
        let before = match so_far.last() {
            None => Case::ALL.map(Case::at_first),
            Some(earlier) => Case::ALL.map(|case| sum(earlier, |from| case.following(from))),
        };
        so_far.push(scaled(product(&before, told)));
    }
    let mut later = [1.0; Case::ALL.len()];
    let mut likely = vec![[0.0; OUTCOMES]; told.len()];
    for (place, told) in told.iter().enumerate().rev() {
        likely[place] = by_outcomes(product(&so_far[place], &later));
        let here = product(&later, told);
        later = scaled(Case::ALL.map(|case| sum(&here, |to| to.following(case))));
    }
    likely
}

/// What a pluck's own sound says for each case: how much likelier its outcome is than before anything was heard.
fn told(alone: &[f32; OUTCOMES]) -> Cases {
    Case::ALL.map(|case| f64::from(alone[case.outcome as usize]) / PRIOR[case.outcome as usize])
}

fn sum(weights: &Cases, value: impl Fn(Case) -> f64) -> f64 {
    weights.iter().zip(Case::ALL).map(|(weight, case)| weight * value(case)).sum()
}

fn product(one: &Cases, other: &Cases) -> Cases {
    std::array::from_fn(|case| one[case] * other[case])
}

/// The same with a sum of 1, lest long passes come to nothing.
fn scaled(cases: Cases) -> Cases {
    let sum: f64 = cases.iter().sum();
    cases.map(|likely| likely / sum)
}

fn by_outcomes(cases: Cases) -> [f32; OUTCOMES] {
    let mut outcomes = [0.0; OUTCOMES];
    let each = Case::ALL.into_iter().zip(scaled(cases));
    each.for_each(|(case, likely)| outcomes[case.outcome as usize] += likely as f32);
    outcomes
}

#[cfg(test)]
mod tests {
    use super::*;

    fn assert_near(found: &[f32; OUTCOMES], wanted: &[f32; OUTCOMES]) {
        assert!(found.iter().zip(wanted).all(|(found, wanted)| (found - wanted).abs() < 1e-3), "{found:?}");
    }

    /// One pluck has only its own sound to go by.
    #[test]
    fn a_pluck_alone_stays_as_it_was_heard() {
        let alone = [0.2, 0.3, 0.1, 0.15, 0.25];
        assert_near(&together(&[alone])[0], &alone);
    }

    /// By hand: nothing is known of the first, so each outcome is as likely as before anything was heard: 0.5, 0.15, 0.125,
    /// 0.1, 0.125. The second was plucked, surely as asked. Each then counts by how often as asked comes of where it leaves
    /// the lever: 0.97, 0.3, 0.3 and 0.97; of a string that was not plucked 4/7, 2/7 and 1/7 of these, 0.683. That is 0.485,
    /// 0.045, 0.0375, 0.097 and 0.0854, 0.75 in all.
    #[test]
    fn a_pluck_in_doubt_is_decided_by_the_next_one() {
        let likely = together(&[[0.5, 0.15, 0.125, 0.1, 0.125], [1.0, 0.0, 0.0, 0.0, 0.0]]);
        assert_near(&likely[0], &[0.6468, 0.06, 0.05, 0.1294, 0.1139]);
        assert_near(&likely[1], &[1.0, 0.0, 0.0, 0.0, 0.0]);
    }

    /// By hand: after a pluck that was surely half-way the next one, of which nothing is known, is half-way by 0.6 of 0.875,
    /// as asked by 0.3; 0.1 of 0.875 are in the other state, 0.6 of them to stay, 0.4 late; 0.125 not plucked.
    #[test]
    fn a_lever_half_way_is_likely_to_stay_there() {
        let likely = together(&[[0.0, 0.0, 1.0, 0.0, 0.0], [0.5, 0.15, 0.125, 0.1, 0.125]]);
        assert_near(&likely[1], &[0.2625, 0.0525, 0.525, 0.035, 0.125]);
    }

    /// By hand: a lever in its other state is as asked two plucks later by 0.3 · 0.97 + 0.65 · 0.3 + 0.05 · 0.3 = 0.501,
    /// otherwise by 0.3 · 0.02 + 0.65² + 0.05 · 0.1 = 0.4335, half-way by 0.0655; 0.875 of all are plucked.
    #[test]
    fn a_lever_is_not_forgotten_where_its_string_is_not_plucked() {
        let (unknown, unplucked) = ([0.5, 0.15, 0.125, 0.1, 0.125], [0.0, 0.0, 0.0, 0.0, 1.0]);
        let likely = together(&[[0.0, 1.0, 0.0, 0.0, 0.0], unplucked, unknown]);
        assert_near(&likely[2], &[0.4384, 0.2276, 0.0573, 0.1517, 0.125]);
    }

    /// Ten thousand plucks are as well weighed as ten.
    #[test]
    fn long_passes_come_to_something() {
        let likely = together(&vec![[0.9, 0.04, 0.02, 0.02, 0.02]; 10_000]);
        assert!(likely.iter().all(|outcomes| outcomes[0] > 0.9), "{:?}", likely[5_000]);
    }
}
