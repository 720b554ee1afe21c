//! How loud the microphone hears, and what is wrong with that.

use std::collections::VecDeque;

use crate::sample_clock::SampleRate;

/// A slot's length, as a part of a second.
const SLOTS_PER_SECOND: u32 = 10;
/// How many slots are remembered: ten seconds.
const REMEMBERED: usize = 100;
/// Samples this near to full scale, so many in a row, are clipped: one alone may be a true peak.
const CLIPPED: (f32, u32) = (0.99, 3);
/// How long a clipping is told of, in slots.
const TOLD: usize = 30;
/// A room louder than this between the notes hides soft plucks (assumed by us).
const NOISY: Decibels = Decibels(-45.0);
/// So many slots of nothing but zeros are no room: a muted microphone, or one that the system keeps from us.
const SILENT: usize = 20;

/// A level in decibels below (so mostly negative) a full-scale amplitude of 1.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Decibels(f32);

impl Decibels {
    /// What counts as silence: nothing softer is told apart.
    pub const SILENCE: Decibels = Decibels(-120.0);

    /// The level of an amplitude.
    pub fn of_amplitude(amplitude: f32) -> Decibels {
        Decibels((20.0 * amplitude.max(1e-6).log10()).max(Self::SILENCE.0))
    }

    /// The level in decibels.
    pub const fn get(self) -> f32 {
        self.0
    }

    /// 0 for silence to 1 for full scale, as a meter draws it: 60 dB from end to end.
    pub fn on_meter(self) -> f32 {
        (1.0 + self.0 / 60.0).clamp(0.0, 1.0)
    }
}

/// What is wrong with what is heard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, thiserror::Error)]
pub enum LevelWarning {
    /// Too loud.
    #[error("the microphone is overdriven: turn its level down, or move it away from the harp")]
    Clipping,
    /// Too much else is heard.
    #[error("the room is loud between the notes: move the microphone nearer to the harp, or away from what hums")]
    Noisy,
    /// Nothing but zeros.
    #[error(
        "the microphone delivers only silence: see whether it is muted, or kept from Leverlane in the system's privacy settings"
    )]
    DigitalSilence,
}

/// Watches levels. Its memory doesn't grow.
#[derive(Debug)]
pub struct LevelMeter {
    slot_length: u32,
    filled: u32,
    squares: f64,
    peak: f32,
    run: u32,
    clipped: bool,
    /// Latest last.
    slots: VecDeque<Slot>,
}

#[derive(Clone, Copy, Debug)]
struct Slot {
    rms: f32,
    peak: f32,
    clipped: bool,
}

impl LevelMeter {
    /// A meter that has heard nothing.
    pub fn new(rate: SampleRate) -> LevelMeter {
        LevelMeter {
            slot_length: (rate.get() / SLOTS_PER_SECOND).max(1),
            filled: 0,
            squares: 0.0,
            peak: 0.0,
            run: 0,
            clipped: false,
            slots: VecDeque::with_capacity(REMEMBERED + 1),
        }
    }

    /// Hears more.
    pub fn hear(&mut self, samples: &[f32]) {
        for &sample in samples {
            let size = sample.abs();
            self.squares += f64::from(size) * f64::from(size);
            self.peak = self.peak.max(size);
            self.run = if size >= CLIPPED.0 { self.run + 1 } else { 0 };
            self.clipped |= self.run >= CLIPPED.1;
            self.filled += 1;
            if self.filled == self.slot_length {
                self.end_slot();
            }
        }
    }

    fn end_slot(&mut self) {
        let rms = (self.squares / f64::from(self.slot_length)).sqrt() as f32;
        self.slots.push_back(Slot { rms, peak: self.peak, clipped: self.clipped });
        if self.slots.len() > REMEMBERED {
            self.slots.pop_front();
        }
        (self.filled, self.squares, self.peak, self.clipped) = (0, 0.0, 0.0, false);
    }

    /// The highest peak of the last third of a second.
    pub fn peak(&self) -> Decibels {
        let slots = self.slots.iter().rev().take(3).map(|slot| slot.peak);
        Decibels::of_amplitude(slots.fold(self.peak, f32::max))
    }

    /// The level (root mean square) of the last tenth of a second.
    pub fn level(&self) -> Decibels {
        self.slots.back().map_or(Decibels::SILENCE, |slot| Decibels::of_amplitude(slot.rms))
    }

    /// What is heard between the notes: the level that a tenth of the last ten seconds stay below. None in the first
    /// second.
    pub fn floor(&self) -> Option<Decibels> {
        if self.slots.len() < SLOTS_PER_SECOND as usize {
            return None;
        }
        let mut levels: Vec<f32> = self.slots.iter().map(|slot| slot.rms).collect();
        levels.sort_by(f32::total_cmp);
        levels.get(levels.len() / 10).map(|&level| Decibels::of_amplitude(level))
    }

    /// What is wrong just now, worst first.
    pub fn warnings(&self) -> Vec<LevelWarning> {
        let recent = |count: usize| self.slots.iter().rev().take(count);
        let mut warnings = Vec::new();
        if recent(TOLD).any(|slot| slot.clipped) {
            warnings.push(LevelWarning::Clipping);
        }
        // A room is judged only once there was time for pauses.
        if self.slots.len() == REMEMBERED && self.floor().is_some_and(|floor| floor > NOISY) {
            warnings.push(LevelWarning::Noisy);
        }
        if self.slots.len() >= SILENT && recent(SILENT).all(|slot| slot.peak == 0.0) {
            warnings.push(LevelWarning::DigitalSilence);
        }
        warnings
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATE: SampleRate = SampleRate::USUAL;

    fn sine(amplitude: f32, seconds: f32) -> Vec<f32> {
        // 500 Hz: 96 samples a period, so that a slot holds whole periods.
        (0..(48_000.0 * seconds) as usize)
            .map(|n| amplitude * (std::f32::consts::TAU * n as f32 / 96.0).sin())
            .collect()
    }

    /// Arithmetic: a sine's root mean square lies 3.01 dB below its peak; half the amplitude is -6.02 dB.
    #[test]
    fn levels_are_those_of_a_sine() {
        let mut meter = LevelMeter::new(RATE);
        meter.hear(&sine(0.5, 0.5));
        assert!((meter.peak().get() + 6.02).abs() < 0.01, "{:?}", meter.peak());
        assert!((meter.level().get() + 9.03).abs() < 0.01, "{:?}", meter.level());
        assert_eq!(meter.floor(), None);
        assert_eq!(meter.warnings(), []);
    }

    #[test]
    fn clipping_is_told_and_forgotten_again() {
        let mut meter = LevelMeter::new(RATE);
        let clipped: Vec<f32> = sine(1.6, 0.2).into_iter().map(|sample| sample.clamp(-1.0, 1.0)).collect();
        meter.hear(&clipped);
        assert_eq!(meter.warnings(), [LevelWarning::Clipping]);
        meter.hear(&sine(0.3, 3.2));
        assert_eq!(meter.warnings(), []);
        // A sine of full scale is above 0.99 for some four samples at its top: but a lone peak isn't clipping.
        let mut meter = LevelMeter::new(RATE);
        let mut lone = vec![0.1; 9_600];
        lone[500] = 1.0;
        lone[5_000] = -1.0;
        meter.hear(&lone);
        assert_eq!(meter.warnings(), []);
    }

    /// Notes of half a second with pauses over a floor: only the floor counts. -40 dB is noisy, -60 dB is not.
    #[test]
    fn a_room_is_judged_between_the_notes() {
        for (floor, noisy) in [(0.0141, true), (0.00141, false)] {
            let mut meter = LevelMeter::new(RATE);
            for _ in 0..11 {
                meter.hear(&sine(0.4, 0.5));
                meter.hear(&sine(floor, 0.5));
            }
            // The root mean square of that sine.
            let expected = 20.0 * (floor * 0.5f32.sqrt()).log10();
            assert!((meter.floor().unwrap().get() - expected).abs() < 0.1);
            assert_eq!(meter.warnings().contains(&LevelWarning::Noisy), noisy);
        }
    }

    #[test]
    fn nothing_but_zeros_is_told_at_once_and_no_longer_than_it_lasts() {
        let mut meter = LevelMeter::new(RATE);
        meter.hear(&vec![0.0; 48_000 * 2]);
        assert_eq!(meter.warnings(), [LevelWarning::DigitalSilence]);
        assert_eq!(meter.level(), Decibels::SILENCE);
        meter.hear(&sine(0.001, 0.1));
        assert_eq!(meter.warnings(), []);
    }
}
