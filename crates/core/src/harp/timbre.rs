//! How a string sounds beside its pitch: how loud its partials are, and how stiff it is.

use super::LeverState;

/// The levels of a string's first partials shortly after it was plucked, in decibels against the loudest of them (0 dB),
/// from the fundamental up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Timbre {
    levels: [f64; Timbre::MOST_PARTIALS],
    count: u8,
}

/// Levels that are no timbre.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum TimbreError {
    /// None, or too many.
    #[error("{found} partials: expected 1 to {}", Timbre::MOST_PARTIALS)]
    Count {
        /// How many there were.
        found: usize,
    },
    /// A level that is out of range or no number.
    #[error("partial {partial} at {found} dB: expected {} to 0 dB", Timbre::FAINTEST_DB)]
    Level {
        /// The partial's number, the fundamental being 1.
        partial: usize,
        /// Its level.
        found: f64,
    },
    /// Levels that are not told against the loudest.
    #[error("the loudest partial at {found} dB: expected 0 dB, the others against it")]
    Loudest {
        /// The highest level.
        found: f64,
    },
}

impl Timbre {
    /// So many partials are kept at most.
    pub const MOST_PARTIALS: usize = 12;
    /// A partial this faint or fainter is as good as missing, in decibels.
    pub const FAINTEST_DB: f64 = -120.0;

    /// A timbre by its levels in decibels, the fundamental's first.
    ///
    /// # Errors
    /// None or more than twelve, a level outside -120 to 0, or a loudest that is not 0.
    pub fn new(levels: &[f64]) -> Result<Timbre, TimbreError> {
        let count = levels.len();
        if !(1..=Self::MOST_PARTIALS).contains(&count) {
            return Err(TimbreError::Count { found: count });
        }
        for (index, &found) in levels.iter().enumerate() {
            if !(Self::FAINTEST_DB..=0.0).contains(&found) {
                return Err(TimbreError::Level { partial: index + 1, found });
            }
        }
        let loudest = levels.iter().copied().fold(Self::FAINTEST_DB, f64::max);
        if loudest < 0.0 {
            return Err(TimbreError::Loudest { found: loudest });
        }
        let mut kept = [Self::FAINTEST_DB; Self::MOST_PARTIALS];
        kept[..count].copy_from_slice(levels);
        // Twelve at most.
        Ok(Timbre { levels: kept, count: count as u8 })
    }

    /// A timbre by its partials' amplitudes, in whatever unit; those past the twelfth are left out. None where nothing
    /// sounds.
    pub fn of_amplitudes(amplitudes: &[f64]) -> Option<Timbre> {
        let kept = &amplitudes[..amplitudes.len().min(Self::MOST_PARTIALS)];
        let loudest = kept.iter().copied().fold(0.0, f64::max);
        if loudest <= 0.0 || !loudest.is_finite() {
            return None;
        }
        let level = |amplitude: &f64| (20.0 * (amplitude / loudest).max(1e-9).log10()).clamp(Self::FAINTEST_DB, 0.0);
        Timbre::new(&kept.iter().map(level).collect::<Vec<f64>>()).ok()
    }

    /// The mean of several in decibels, over the partials that all of them have; none of none.
    pub fn mean(timbres: &[Timbre]) -> Option<Timbre> {
        let count = timbres.iter().map(|timbre| timbre.levels().len()).min()?;
        let mean = |index: usize| timbres.iter().map(|timbre| timbre.levels[index]).sum::<f64>() / timbres.len() as f64;
        let means: Vec<f64> = (0..count).map(mean).collect();
        let loudest = means.iter().copied().fold(Self::FAINTEST_DB, f64::max);
        Timbre::new(&means.iter().map(|mean| mean - loudest).collect::<Vec<f64>>()).ok()
    }

    /// The levels in decibels, the fundamental's first.
    pub fn levels(&self) -> &[f64] {
        &self.levels[..usize::from(self.count)]
    }

    /// The level of a partial, the fundamental being 1; none where it was not measured.
    pub fn level(&self, partial: usize) -> Option<f64> {
        self.levels().get(partial.checked_sub(1)?).copied()
    }
}

/// How far a string's partials lie above the multiples of its fundamental: B in f_n = n · f_0 · √(1 + B·n²)
/// (Fletcher 1964), without a unit.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Stiffness(f64);

impl Stiffness {
    /// What a string can have: nylon harp strings lie about 10⁻⁴ (assumed gauges), a piano's top strings past 10⁻²
    /// (Fletcher and Rossing, "The Physics of Musical Instruments").
    pub const RANGE: std::ops::RangeInclusive<f64> = 0.0..=0.05;

    /// A stiffness; none outside its range.
    pub fn new(b: f64) -> Option<Stiffness> {
        Stiffness::RANGE.contains(&b).then_some(Stiffness(b))
    }

    /// B.
    pub const fn get(self) -> f64 {
        self.0
    }
}

/// How much a string rattles: the share of high frequencies in its late sound, as amplitudes, 0 to 1. Every string has some;
/// only more of it than the string itself had before says anything.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Rattle(f64);

impl Rattle {
    /// A share; none outside 0 to 1.
    pub fn new(share: f64) -> Option<Rattle> {
        (0.0..=1.0).contains(&share).then_some(Rattle(share))
    }

    /// The share.
    pub const fn get(self) -> f64 {
        self.0
    }
}

/// How a string was found to sound when its levers were checked, as far as it was.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct StringSound {
    /// Its timbre with its lever down.
    pub open: Option<Timbre>,
    /// Its timbre with its lever up.
    pub raised: Option<Timbre>,
    /// Its stiffness.
    pub stiffness: Option<Stiffness>,
    /// How much it rattled with its lever down when nothing was heard to buzz.
    pub open_rattle: Option<Rattle>,
    /// The same with its lever up.
    pub raised_rattle: Option<Rattle>,
}

impl StringSound {
    /// A string that nobody has listened to yet.
    pub const UNHEARD: StringSound =
        StringSound { open: None, raised: None, stiffness: None, open_rattle: None, raised_rattle: None };

    /// Its timbre in a lever state; that of the other state where only that is known.
    pub fn in_state(&self, state: LeverState) -> Option<&Timbre> {
        match state {
            LeverState::Down => self.open.as_ref().or(self.raised.as_ref()),
            LeverState::Up => self.raised.as_ref().or(self.open.as_ref()),
        }
    }

    /// What is known by a newer look, and by this one where that says nothing.
    pub fn heard_again(self, newer: StringSound) -> StringSound {
        StringSound {
            open: newer.open.or(self.open),
            raised: newer.raised.or(self.raised),
            stiffness: newer.stiffness.or(self.stiffness),
            open_rattle: newer.open_rattle.or(self.open_rattle),
            raised_rattle: newer.raised_rattle.or(self.raised_rattle),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_timbre_is_refused() {
        assert_eq!(Timbre::new(&[]), Err(TimbreError::Count { found: 0 }));
        assert_eq!(Timbre::new(&[0.0; 13]), Err(TimbreError::Count { found: 13 }));
        assert_eq!(Timbre::new(&[0.0, 0.5]), Err(TimbreError::Level { partial: 2, found: 0.5 }));
        assert_eq!(Timbre::new(&[0.0, -120.5]), Err(TimbreError::Level { partial: 2, found: -120.5 }));
        assert!(matches!(Timbre::new(&[0.0, f64::NAN]), Err(TimbreError::Level { partial: 2, .. })));
        assert!(matches!(Timbre::new(&[f64::NEG_INFINITY]), Err(TimbreError::Level { partial: 1, .. })));
        assert_eq!(Timbre::new(&[-3.0, -1.0]), Err(TimbreError::Loudest { found: -1.0 }));
        assert!(Timbre::new(&[0.0; 12]).is_ok() && Timbre::new(&[-120.0, 0.0]).is_ok());
    }

    /// Arithmetic: a tenth of the amplitude is -20 dB, a hundredth -40 dB, nothing the faintest.
    #[test]
    fn amplitudes_become_levels_against_the_loudest() {
        let timbre = Timbre::of_amplitudes(&[0.02, 0.2, 0.0, 0.002]).unwrap();
        for (level, expected) in timbre.levels().iter().zip([-20.0, 0.0, -120.0, -40.0]) {
            assert!((level - expected).abs() < 1e-9, "{timbre:?}");
        }
        assert_eq!(timbre.levels().len(), 4);
        assert_eq!((timbre.level(0), timbre.level(2), timbre.level(5)), (None, Some(0.0), None));
        assert_eq!(Timbre::of_amplitudes(&[1.0; 40]).map(|timbre| timbre.levels().len()), Some(12));
        assert_eq!(Timbre::of_amplitudes(&[0.0, 0.0]), None);
        assert_eq!(Timbre::of_amplitudes(&[]), None);
        assert_eq!(Timbre::of_amplitudes(&[f64::INFINITY]), None);
    }

    /// Arithmetic: (0 − 10)/2 = −5, (−20 − 0)/2 = −10, and then against the louder.
    #[test]
    fn the_mean_is_told_against_its_own_loudest() {
        let (one, other) = (Timbre::new(&[0.0, -20.0, -3.0]), Timbre::new(&[-10.0, 0.0]));
        assert_eq!(Timbre::mean(&[one.unwrap(), other.unwrap()]), Timbre::new(&[0.0, -5.0]).ok());
        assert_eq!(Timbre::mean(&[]), None);
    }

    #[test]
    fn a_state_that_was_not_heard_is_taken_for_the_other() {
        let (open, raised) = (Timbre::new(&[0.0]).ok(), Timbre::new(&[0.0, -6.0]).ok());
        let heard = StringSound { open, ..StringSound::UNHEARD };
        assert_eq!(heard.in_state(LeverState::Up), open.as_ref());
        let both = heard.heard_again(StringSound { raised, stiffness: Stiffness::new(1e-4), ..StringSound::UNHEARD });
        assert_eq!(both.in_state(LeverState::Up), raised.as_ref());
        assert_eq!(both.in_state(LeverState::Down), open.as_ref());
        assert_eq!(StringSound::UNHEARD.in_state(LeverState::Down), None);
        assert_eq!((Stiffness::new(-1e-9), Stiffness::new(f64::NAN), Stiffness::new(0.06)), (None, None, None));
    }
}
