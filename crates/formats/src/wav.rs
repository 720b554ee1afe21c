//! Recordings: WAV files, read a block at a time, so that their length doesn't matter.
//!
//! Read are whole numbers of 8 to 32 bits and floating-point numbers of 32 bits, any number of channels. Not supported:
//! compressed sound, and RF64 and other forms beyond 4 GB.

use std::fs::File;
use std::io::{BufReader, Read};
use std::path::Path;

use crate::files::{self, FileError};

/// A WAV file that can't be heard. Its text says what is wrong, where, and what to do.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum WavFault {
    /// No WAV file, or one whose head is damaged.
    #[error("the head of the file: {reason}, expected a WAV recording; save it again as WAV, 16 bits")]
    Head {
        /// What was found.
        reason: String,
    },
    /// A form of WAV that isn't read.
    #[error(
        "the head of the file: {found}, expected {expected}; save it again as WAV, 16 bits, 44,100 or 48,000 a second"
    )]
    Form {
        /// What it is.
        found: String,
        /// What is read.
        expected: &'static str,
    },
    /// The sound ends before its time.
    #[error("{after_s} s into the sound: the file ends, expected {of_s} s; copy or save it again")]
    CutOff {
        /// Whole seconds that were there.
        after_s: u64,
        /// Whole seconds that were announced.
        of_s: u64,
    },
}

/// What was remarkable about the samples read so far.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct WavFindings {
    /// Moments, one sample of every channel each.
    pub moments: u64,
    /// Moments at which some channel stood at full scale: clipped, most likely.
    pub at_full_scale: u64,
    /// Samples that were no numbers; they count as silence.
    pub no_numbers: u64,
    /// Moments at which no channel was silent.
    pub sounding: u64,
}

/// A WAV recording being read from its beginning.
pub struct WavSound<R> {
    reader: hound::WavReader<R>,
    findings: WavFindings,
}

/// How many moments are read at once.
const BLOCK: usize = 4_096;
/// The rates that are read.
const RATES: std::ops::RangeInclusive<u32> = 8_000..=384_000;
/// From here on a sample is at full scale.
const FULL_SCALE: f32 = 0.999;

/// Opens a WAV file.
///
/// # Errors
/// A file that can't be opened ([`FileError`]); what is no readable WAV file is told in the inner result.
pub fn open_wav(path: &Path) -> Result<Result<WavSound<BufReader<File>>, WavFault>, FileError> {
    Ok(WavSound::new(BufReader::new(files::open(path)?)))
}

impl<R: Read> WavSound<R> {
    /// Reads the head.
    ///
    /// # Errors
    /// No WAV file, or none that is read.
    pub fn new(reader: R) -> Result<WavSound<R>, WavFault> {
        let reader = hound::WavReader::new(reader).map_err(|error| head(&error))?;
        let spec = reader.spec();
        let form = |found: String, expected| Err(WavFault::Form { found, expected });
        match (spec.sample_format, spec.bits_per_sample) {
            (hound::SampleFormat::Int, 8 | 16 | 24 | 32) | (hound::SampleFormat::Float, 32) => {}
            (_, bits) => return form(format!("samples of {bits} bits"), "8 to 32 bits"),
        }
        if spec.channels == 0 {
            return form("no channels".to_owned(), "one or more");
        }
        if !RATES.contains(&spec.sample_rate) {
            return form(format!("{} samples a second", spec.sample_rate), "8,000 to 384,000");
        }
        Ok(WavSound { reader, findings: WavFindings::default() })
    }

    /// Samples a second, 8,000 to 384,000.
    pub fn rate(&self) -> u32 {
        self.reader.spec().sample_rate
    }

    /// How many channels there are.
    pub fn channels(&self) -> u16 {
        self.reader.spec().channels
    }

    /// How many moments the head announces.
    pub fn announced(&self) -> u64 {
        u64::from(self.reader.duration())
    }

    /// What was remarkable so far.
    pub fn findings(&self) -> WavFindings {
        self.findings
    }

    /// Puts the next moments into `block`, which is emptied first; it stays empty at the end. Channels are added up and
    /// divided by the root of their number: one that alone holds the sound among eight then stays audible.
    ///
    /// # Errors
    /// The file ends before the sound does.
    pub fn next_block(&mut self, block: &mut Vec<f32>) -> Result<(), WavFault> {
        block.clear();
        let spec = self.reader.spec();
        let left = self.announced().saturating_sub(self.findings.moments);
        let moments = usize::try_from(left).unwrap_or(BLOCK).min(BLOCK);
        let channels = usize::from(spec.channels);
        let scale = match spec.sample_format {
            hound::SampleFormat::Float => 1.0,
            hound::SampleFormat::Int => (f64::from(spec.bits_per_sample - 1)).exp2().recip() as f32,
        };
        match spec.sample_format {
            hound::SampleFormat::Float => {
                let samples = self.reader.samples::<f32>().map_while(Result::ok);
                add_up(samples, moments, channels, block, &mut self.findings);
            }
            hound::SampleFormat::Int => {
                let samples = self.reader.samples::<i32>().map_while(Result::ok).map(|sample| sample as f32 * scale);
                add_up(samples, moments, channels, block, &mut self.findings);
            }
        }
        if block.len() < moments {
            let seconds = |moments: u64| moments / u64::from(spec.sample_rate.max(1));
            return Err(WavFault::CutOff { after_s: seconds(self.findings.moments), of_s: seconds(self.announced()) });
        }
        Ok(())
    }
}

fn add_up(
    mut samples: impl Iterator<Item = f32>,
    moments: usize,
    channels: usize,
    block: &mut Vec<f32>,
    findings: &mut WavFindings,
) {
    let share = (channels as f32).sqrt().recip();
    for _ in 0..moments {
        let (mut sum, mut full, mut sounding) = (0.0, false, false);
        for _ in 0..channels {
            let Some(sample) = samples.next() else { return };
            if sample.is_finite() {
                // Floating-point files may go beyond full scale; what is absurd must not drown everything else.
                sum += sample.clamp(-16.0, 16.0);
                full |= sample.abs() >= FULL_SCALE;
                sounding |= sample != 0.0;
            } else {
                findings.no_numbers += 1;
            }
        }
        findings.moments += 1;
        findings.at_full_scale += u64::from(full);
        findings.sounding += u64::from(sounding);
        block.push(sum * share);
    }
}

fn head(error: &hound::Error) -> WavFault {
    let reason = match error {
        hound::Error::IoError(_) => "it is cut off".to_owned(),
        hound::Error::FormatError(reason) => format!("it is no WAV file or damaged ({reason})"),
        hound::Error::Unsupported => {
            return WavFault::Form {
                found: "a form of WAV that isn't read, such as compressed sound".to_owned(),
                expected: "plain samples",
            };
        }
        other => format!("it can't be read ({other})"),
    };
    WavFault::Head { reason }
}

#[cfg(test)]
mod tests;
