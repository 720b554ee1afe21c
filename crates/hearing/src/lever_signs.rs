//! The signs of how a lever stood when its string was plucked, and of what became of it, as numbers of about the same size.
//!
//! The sound is read ([`crate::lever_reading`]) before the pluck, at it in stretches of three lengths, and some times after
//! it, for a lever may come late while its string rings. States are told as the asked and the other one, so that what is
//! learnt of raising holds for lowering too.

use leverlane_core::time::Seconds;

use crate::clock::SampleRate;
use crate::lever_reading::{LeverWorths, PluckedString, StateWorth, lever_worths};
use crate::partial_fit::PartialFit;
use crate::pluck_signs;
use crate::recent::Excerpt;

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
/// Signs of each stretch, of the raises, and of the pluck.
const OF_STRETCH: usize = 7;
const OF_RAISES: usize = 6;
const OF_PLUCK: usize = pluck_signs::SIGNS + 2;
/// How many signs there are.
pub(crate) const SIGNS: usize = (STRETCHES.len() + 1) * OF_STRETCH + OF_RAISES + OF_PLUCK;
/// Nothing that is further away than this many seconds tells anything.
const LONGEST: f64 = 2.0;

/// A pluck of a string with a lever.
#[derive(Clone, Copy, Debug)]
pub(crate) struct LeverSigns {
    /// What the network is told.
    pub(crate) signs: [f32; SIGNS],
    /// How far the string is raised in each state, in cents: as asked, otherwise, half-way.
    pub(crate) raises: [f64; 3],
}

/// Reads signs.
#[derive(Debug)]
pub(crate) struct LeverEar {
    rate: SampleRate,
    fits: [PartialFit; LENGTHS.len()],
}

impl LeverEar {
    pub(crate) fn new(rate: SampleRate) -> LeverEar {
        LeverEar { rate, fits: LENGTHS.map(|length| PartialFit::new(rate, length)) }
    }

    /// The signs of one of the plucked strings; `pluck` are those that it was plucked, `log_odds` what they came to.
    pub(crate) fn at(
        &mut self,
        sound: Excerpt<'_>,
        plucked: &[PluckedString],
        index: usize,
        pluck: &[f32; pluck_signs::SIGNS],
        log_odds: f64,
    ) -> LeverSigns {
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
        let of_pluck = [log_odds / 6.0, (rings.clamp(0.01, LONGEST) / 0.3).log10()];
        let all = stretches.chain(raises).chain(of_pluck).map(|sign| sign as f32).chain(pluck.iter().copied());
        let mut signs = [0.0; SIGNS];
        signs.iter_mut().zip(all).for_each(|(sign, value)| *sign = value);
        let longest = after[AT_PLUCK[1]].or(after[AT_PLUCK[0]]).or(after[0]).unwrap_or_default();
        let raises = [longest.asked, longest.other, longest.half].map(|state| state.raise);
        LeverSigns { signs, raises }
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
