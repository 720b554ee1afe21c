//! What has been added to the sound at a moment: the spectrum after it against the spectrum before it.

use leverlane_core::time::Seconds;

use crate::clock::SampleRate;
use crate::recent::Sound;
use crate::spectrum::Spectrum;

/// The stretches that are compared, the longest first. Longer ones tell low notes apart, shorter ones fit between fast
/// notes.
const STRETCHES: [Seconds; 3] = [Seconds::new(0.186), Seconds::new(0.093), Seconds::new(0.0465)];
/// How much is left out on either side of an attack: the string is only being let go there.
const AROUND_ATTACK: Seconds = Seconds::new(0.002);
/// How much louder than before a frequency must be to count as new: what rings on fluctuates.
const RINGING_ON: f32 = 1.25;
/// How much what sounds on counts beside what is new (−9 dB).
const SOUNDING_ON: f32 = 0.35;
/// Nothing above this is looked at: a harp's partials are weak there.
const HIGHEST_HZ: f64 = 6_000.0;

/// Compares what was before with what came after.
#[derive(Debug)]
pub(crate) struct Growth {
    rate: SampleRate,
    spectra: [Spectrum; STRETCHES.len()],
    bins: usize,
    before: Box<[f32]>,
    after: Box<[f32]>,
    grown: Box<[f32]>,
    used: usize,
}

impl Growth {
    pub(crate) fn new(rate: SampleRate) -> Growth {
        let padded = rate.samples_in(Seconds::new(0.36)).next_power_of_two();
        let spectra = STRETCHES.map(|stretch| Spectrum::new(rate.samples_in(stretch), padded));
        let width = spectra[0].bin_width(f64::from(rate.get()));
        let bins = ((HIGHEST_HZ / width) as usize).min(spectra[0].bins());
        let row = || vec![0.0; bins].into();
        Growth { rate, spectra, bins, before: row(), after: row(), grown: row(), used: 0 }
    }

    /// How much sound after an attack is looked at, at most.
    pub(crate) fn looks_ahead(rate: SampleRate) -> u64 {
        rate.samples_in(STRETCHES[0] + AROUND_ATTACK) as u64
    }

    /// Looks at the moment from the first attack to the last; `free` samples after the last belong to it.
    pub(crate) fn look(&mut self, sound: &impl Sound, first: u64, last: u64, free: u64) {
        let gap = self.rate.samples_in(AROUND_ATTACK) as i64;
        let fits = |spectrum: &Spectrum| spectrum.length() as i64 + gap <= free as i64;
        self.used = self.spectra.iter().position(fits).unwrap_or(STRETCHES.len() - 1);
        let spectrum = &mut self.spectra[self.used];
        let length = spectrum.length() as i64;
        spectrum.of(|stretch| sound.copy(first as i64 - gap - length, stretch), &mut self.before);
        spectrum.of(|stretch| sound.copy(last as i64 + gap, stretch), &mut self.after);
        for (bin, grown) in self.grown.iter_mut().enumerate() {
            // What rings on may lie beside its bin by a little.
            let beside = bin.saturating_sub(1)..(bin + 2).min(self.bins);
            let before = self.before[beside].iter().copied().fold(0.0, f32::max);
            *grown = (self.after[bin] - RINGING_ON * before).max(0.0);
        }
    }

    /// What is new, by bins.
    pub(crate) fn grown(&self) -> &[f32] {
        &self.grown
    }

    /// The amplitude of the loudest of a pitch's first partials that are new.
    pub(crate) fn loudest_new(&self, hertz: f64) -> f64 {
        let place = hertz / self.bin_width();
        let partials = (1..=4).map(|partial| (place * f64::from(partial)).round() as usize);
        let bins = partials.filter_map(|bin| self.grown.get(bin.saturating_sub(1)..=bin + 1)).flatten();
        f64::from(bins.copied().fold(0.0, f32::max))
    }

    /// What is new, and a part of what was there before and sounds on: a string that rings and is plucked again adds
    /// little, and yet it sounds.
    pub(crate) fn sounding(&self, bin: usize) -> f32 {
        let (grown, after) = (self.grown.get(bin), self.after.get(bin));
        grown.copied().unwrap_or(0.0).max(SOUNDING_ON * after.copied().unwrap_or(0.0))
    }

    /// Hertz from one bin to the next.
    pub(crate) fn bin_width(&self) -> f64 {
        self.spectra[0].bin_width(f64::from(self.rate.get()))
    }

    /// How far a sine's energy reaches to either side of its frequency, in bins: the Hann window's main lobe.
    pub(crate) fn lobe(&self) -> f64 {
        2.0 / STRETCHES[self.used].get() / self.bin_width()
    }

    /// How many bins there are.
    pub(crate) fn bins(&self) -> usize {
        self.bins
    }
}
