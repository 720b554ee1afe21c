//! The signs of how a lever stood when its string was plucked, and of what became of it, as numbers of about the same size.
//!
//! The sound is read ([`crate::lever_reading`]) before the pluck, at it in stretches of three lengths, and some times after
//! it, for a lever may come late while its string rings. States are told as the asked and the other one, so that what is
//! learnt of raising holds for lowering too.

use leverlane_core::time::Seconds;

use crate::clock::SampleRate;
use crate::lever_reading::{LeverWorths, PARTIALS, PluckedString, StateWorth, lever_worths, share_expected};
use crate::loudness::Loudness;
use crate::partial_course::{self, PartialCourse, level};
use crate::partial_fit::PartialFit;
use crate::pluck_company;
use crate::pluck_signs;
use crate::recent::Excerpt;
use crate::second_look::LIKELY_TIMES;

/// The lengths that are listened to.
const LENGTHS: [Seconds; 3] = [Seconds::new(0.093), Seconds::new(0.186), Seconds::new(0.372)];
/// When the stretches begin after the pluck, and which length they have.
const STRETCHES: [(Seconds, usize); 7] = [
    (Seconds::new(0.005), 0),
    (Seconds::new(0.005), 1),
    (Seconds::new(0.005), 2),
    (Seconds::new(0.15), 1),
    (Seconds::new(0.3), 1),
    (Seconds::new(0.45), 1),
    (Seconds::new(0.6), 1),
];
/// The two of them by which it is told how far the string was raised, and the length before the pluck.
const AT_PLUCK: [usize; 2] = [1, 2];
const BEFORE: usize = 1;
/// Signs of each stretch, of the raises, of what is known of the string, and of the pluck.
const OF_STRETCH: usize = 7;
const OF_RAISES: usize = 6;
const OF_STRING: usize = 2;
/// Signs of each partial as the string is asked and otherwise, in the stretch before the pluck and in the two at it.
const OF_PARTIAL: usize = 4;
const WITH_PARTIALS: usize = 1 + AT_PLUCK.len();
const OF_PLUCK: usize = pluck_signs::SIGNS + 5 + LIKELY_TIMES;
/// Signs up to those of the pluck.
const OF_STATES: usize =
    (STRETCHES.len() + 1) * OF_STRETCH + OF_RAISES + WITH_PARTIALS * PARTIALS * OF_PARTIAL + OF_STRING;
/// How many signs there are of a lever without the other plucks of its pass, and with them.
pub(crate) const ALONE: usize = OF_STATES + OF_PLUCK + partial_course::SIGNS;
pub(crate) const SIGNS: usize = ALONE + pluck_company::SIGNS;
/// Nothing that is further away than this many seconds tells anything.
const LONGEST: f64 = 2.0;
/// A pluck so many seconds from its likely time is nowhere near it.
const FAR_ASTRAY: f64 = 0.1;
/// Log-odds of this count 1.
const ODDS: f64 = 6.0;
/// So many seconds late counts 1, and what is further off no more than this.
const LATE: f64 = 0.03;
const LATEST: f64 = 3.0;

/// A pluck that was found, as far as that tells of its lever.
#[derive(Clone, Copy, Debug)]
pub(crate) struct FoundPluck<'a> {
    /// The signs that the string was plucked, and the natural logarithm of the odds that they came to.
    pub(crate) signs: &'a [f32; pluck_signs::SIGNS],
    pub(crate) log_odds: f64,
    /// How far it is from the times at which it was likely, in seconds: a note that was not played is found anywhere.
    pub(crate) astray: [f64; LIKELY_TIMES],
    /// By how much its log-odds are above those of the best moment beside it, and of the best one further off.
    pub(crate) ahead: [f64; 2],
}

/// The signs of a lever.
#[derive(Clone, Copy, Debug)]
pub(crate) struct LeverSigns {
    /// What the network is told.
    pub(crate) signs: [f32; SIGNS],
    /// How far the string is raised in each state, in cents: as asked, otherwise, half-way.
    pub(crate) raises: [f64; 3],
}

/// A lever as far as the sound about its pluck tells of it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct LeverAlone {
    signs: [f32; ALONE],
    raises: [f64; 3],
    pub(crate) loudness: Loudness,
}

impl LeverAlone {
    /// Its signs with those that the other plucks of its pass give.
    pub(crate) fn in_company(&self, company: [f64; pluck_company::SIGNS]) -> LeverSigns {
        let mut signs = [0.0; SIGNS];
        let all = self.signs.into_iter().chain(company.map(|sign| sign as f32));
        signs.iter_mut().zip(all).for_each(|(sign, value)| *sign = value);
        LeverSigns { signs, raises: self.raises }
    }
}

/// Reads signs.
#[derive(Debug)]
pub(crate) struct LeverEar {
    rate: SampleRate,
    fits: [PartialFit; LENGTHS.len()],
    course: PartialCourse,
}

impl LeverEar {
    pub(crate) fn new(rate: SampleRate) -> LeverEar {
        LeverEar { rate, fits: LENGTHS.map(|length| PartialFit::new(rate, length)), course: PartialCourse::new(rate) }
    }

    /// The signs of one of the plucked strings, whose pluck was found.
    pub(crate) fn at(
        &mut self,
        sound: Excerpt<'_>,
        plucked: &[PluckedString],
        index: usize,
        found: FoundPluck<'_>,
    ) -> LeverAlone {
        let own = &plucked[index];
        let before = own.from - self.fits[BEFORE].length();
        let before = lever_worths(&mut self.fits[BEFORE], sound, plucked, index, before);
        let mut after = [None; STRETCHES.len()];
        for (worths, (starts, length)) in after.iter_mut().zip(STRETCHES) {
            let (fit, from) = (&mut self.fits[length], own.from + self.rate.samples_in(starts) as i64);
            let rings = from + fit.length() <= own.until;
            *worths = rings.then(|| lever_worths(fit, sound, plucked, index, from));
        }
        let at_pluck = AT_PLUCK.map(|stretch| after[stretch].unwrap_or_default());
        let reference = after.iter().flatten().map(|worths| worths.loudest).fold(1e-7, f64::max);
        let rings = (own.until - own.from) as f64 / f64::from(self.rate.get());
        let stretches = std::iter::once(Some(before)).chain(after).flat_map(|worths| of_stretch(worths, reference));
        let raises = at_pluck.iter().flat_map(|worths| of_raises(worths, own));
        let with_partials = [before, at_pluck[0], at_pluck[1]];
        let partials = with_partials.iter().flat_map(|worths| of_partials(worths, reference));
        let of_string: [f64; OF_STRING] = share_expected(own);
        let longest = after[AT_PLUCK[1]].or(after[AT_PLUCK[0]]).or(after[0]);
        let course_at = longest.map_or([own.expected, own.up - own.expected], |worths| {
            [worths.asked, worths.other].map(|state| state.raise)
        });
        let course = self.course.signs(sound, plucked, index, course_at, reference);
        let longest = longest.unwrap_or_default();
        let late = (found.astray[0] / LATE).clamp(-LATEST, LATEST);
        let astray = found.astray.map(|astray| (astray.abs() / FAR_ASTRAY).min(1.0));
        let of_pluck = [found.log_odds / ODDS, (rings.clamp(0.01, LONGEST) / 0.3).log10()];
        let all = stretches
            .chain(raises)
            .chain(partials)
            .chain(of_string)
            .chain(of_pluck)
            .chain(astray)
            .chain(found.ahead.map(|ahead| ahead / ODDS))
            .chain([late])
            .map(|sign| sign as f32)
            .chain(found.signs.iter().copied())
            .chain(course.into_iter().map(|sign| sign as f32));
        let mut signs = [0.0; ALONE];
        signs.iter_mut().zip(all).for_each(|(sign, value)| *sign = value);
        LeverAlone {
            signs,
            raises: [longest.asked, longest.other, longest.half].map(|state| state.raise),
            loudness: Loudness::of(&before, &after[AT_PLUCK[0]].or(after[0]).unwrap_or_default(), reference),
        }
    }
}

/// What a stretch says; nothing where the string did not ring so long.
fn of_stretch(worths: Option<LeverWorths>, reference: f64) -> [f64; OF_STRETCH] {
    let Some(LeverWorths { asked, other, half, loudest }) = worths else { return [0.0; OF_STRETCH] };
    let loud = (loudest / reference).max(1e-3).log10();
    [2.0 * asked.worth, 2.0 * other.worth, 2.0 * half.worth, asked.own, other.own, loud, 1.0]
}

/// How far each state's likeliest raise lies from where it should.
fn of_raises(worths: &LeverWorths, own: &PluckedString) -> [f64; OF_RAISES / AT_PLUCK.len()] {
    let away = |state: StateWorth, from: f64| (state.raise - from).abs() / 20.0;
    let other = own.up - own.expected.clamp(0.0, own.up);
    [away(worths.asked, own.expected), away(worths.other, other), away(worths.half, own.expected) / 2.0]
}

/// How strong each partial is as the string is asked and otherwise, against the loudest, and how much of it is its own.
fn of_partials(worths: &LeverWorths, reference: f64) -> impl Iterator<Item = f64> {
    let level = move |amplitude: f64| level(amplitude, reference);
    let both = worths.asked.partials.into_iter().zip(worths.other.partials);
    both.flat_map(move |(asked, other)| [level(asked.amplitude), asked.own, level(other.amplitude), other.own])
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use leverlane_core::harp::StringSound;
    use leverlane_core::pitch::Hertz;

    use super::*;
    use crate::clock::SampleIndex;
    use crate::lever_reading::partial;

    const RATE: u32 = 44_100;
    const PLUCKED: usize = 20_000;

    /// A synthetic string that is plucked open and raised by a semitone 0.25 s later.
    fn raised_late(open: f64) -> Vec<f32> {
        let mut phases = [0.0f64; 8];
        let sample = |n: usize| {
            let Some(since) = n.checked_sub(PLUCKED) else { return 0.0 };
            let raised = since >= RATE as usize / 4;
            let hertz = open * if raised { (1.0f64 / 12.0).exp2() } else { 1.0 };
            let partials = phases.iter_mut().zip(1..).map(|(phase, number)| {
                *phase += partial(hertz, f64::from(number)) / f64::from(RATE);
                0.1 / f64::from(number) * (TAU * *phase).sin()
            });
            partials.sum::<f64>() as f32
        };
        (0..PLUCKED + 2 * RATE as usize).map(sample).collect()
    }

    /// The signs of the string, whose pluck was found a tenth of a second after the middle one of its likely times.
    fn signs(expected: f64, until: i64) -> [f32; ALONE] {
        let open = Hertz::new(293.66).unwrap();
        let samples = raised_late(open.get());
        let sound = Excerpt { starts: SampleIndex::new(0), samples: &samples };
        let from = PLUCKED as i64;
        let sound_of = StringSound::UNHEARD;
        let plucked = [PluckedString { open, raise: 0.0, expected, up: 100.0, sound: sound_of, from, until }];
        let found = FoundPluck {
            signs: &[0.5; pluck_signs::SIGNS],
            log_odds: 6.0,
            astray: [0.03, 0.1, -0.05],
            ahead: [3.0, -12.0],
        };
        LeverEar::new(SampleRate::new(RATE).unwrap()).at(sound, &plucked, 0, found).signs
    }

    /// What speaks for the string as it is asked and otherwise, in the stretch before the pluck and each after it; none
    /// where nothing is told.
    fn worths(expected: f64, until: i64) -> Vec<Option<(f32, f32)>> {
        let signs = signs(expected, until);
        let stretches = signs[..(STRETCHES.len() + 1) * OF_STRETCH].chunks_exact(OF_STRETCH);
        stretches.map(|signs| (signs[OF_STRETCH - 1] > 0.0).then_some((signs[0], signs[1]))).collect()
    }

    /// By hand: log-odds of 6 count 1, and of 0.03, 0.1 and 0.05 s astray the second is as far as any counts; 0.03 s is late by
    /// 1; odds above others' count as odds do.
    #[test]
    fn what_is_known_of_the_pluck_is_told() {
        let signs = signs(100.0, i64::MAX / 2);
        let (found, plucked) = signs[OF_STATES..OF_STATES + OF_PLUCK].split_at(OF_PLUCK - pluck_signs::SIGNS);
        assert_eq!(plucked, [0.5; pluck_signs::SIGNS], "the signs that it was plucked, as they are");
        assert_eq!((found[0], &found[2..]), (1.0, &[0.3, 1.0, 0.5, 0.5, -2.0, 1.0][..]));
    }

    /// By hand: the string's partials fall as 1, 1/2, 1/3 …; a tenth is told as 1 − 1/1.5. Before the pluck and while it sounds
    /// open, the raised string has none.
    #[test]
    fn each_partial_is_told_by_its_level() {
        let signs = signs(100.0, i64::MAX / 2);
        let from = (STRETCHES.len() + 1) * OF_STRETCH + OF_RAISES;
        let of_stretches = &signs[from..from + WITH_PARTIALS * PARTIALS * OF_PARTIAL];
        let stretches: Vec<&[f32]> = of_stretches.chunks_exact(PARTIALS * OF_PARTIAL).collect();
        for (number, told) in (1..).zip(stretches[1].chunks_exact(OF_PARTIAL)) {
            let [raised, raised_own, open, open_own] = *told else { panic!("{told:?}") };
            let level = (1.0 / number as f32).log10() / 1.5 + 1.0;
            assert!((open - level).abs() < 0.05 && raised < open - 0.2, "partial {number}: {told:?}");
            assert_eq!((raised_own, open_own), (1.0, 1.0), "no string sounds beside it");
        }
        for told in stretches[0].chunks_exact(OF_PARTIAL) {
            assert!(told[0] < 0.0 && told[2] < 0.0, "silence before the pluck: {told:?}");
        }
    }

    /// By hand: the stretches at the pluck end at 0.377 s at the latest, and but for that longest one before the lever moves;
    /// those from 0.3 s on hold the raised string alone. The same sound says the opposite of a string that is asked open.
    #[test]
    fn a_lever_that_comes_late_is_seen_in_the_later_stretches() {
        let long = i64::MAX / 2;
        for (expected, sign) in [(100.0, 1.0), (0.0, -1.0)] {
            let told: Vec<f32> = worths(expected, long)
                .into_iter()
                .map(|worths| worths.map(|(asked, other)| sign * (asked - other)).unwrap())
                .collect();
            assert_eq!(told.len(), 8);
            assert!(told[1] < -0.3 && told[2] < -0.3, "open at the pluck: {told:?}");
            assert!(told[5] > 0.3 && told[6] > 0.3 && told[7] > 0.3, "raised after it: {told:?}");
        }
    }

    /// By hand: of a string that is plucked again after 0.5 s, the stretches from 0.45 s and 0.6 s on, of 0.186 s each, tell
    /// nothing.
    #[test]
    fn what_reaches_into_the_next_pluck_is_not_told() {
        let told: Vec<bool> = worths(100.0, (PLUCKED + RATE as usize / 2) as i64).iter().map(Option::is_some).collect();
        assert_eq!(told, [true, true, true, true, true, true, false, false]);
    }
}
