//! Keeping what is heard, when the player asks for it.

use std::fs::File;
use std::io::BufWriter;
use std::path::{Path, PathBuf};

use crate::sample_clock::SampleRate;

/// A recording that can't be kept.
#[derive(Debug, thiserror::Error)]
#[error("{}: can't be written: {source}; choose another place", path.display())]
pub struct KeepingError {
    /// The file.
    pub path: PathBuf,
    /// What the system said.
    pub source: hound::Error,
}

/// Writes what is heard to a WAV file of one channel. Nothing else in the program does.
pub struct Keeping {
    path: PathBuf,
    writer: hound::WavWriter<BufWriter<File>>,
}

impl Keeping {
    /// Begins a file.
    ///
    /// # Errors
    /// It can't be made.
    pub fn begin(path: &Path, rate: SampleRate) -> Result<Keeping, KeepingError> {
        let spec = hound::WavSpec {
            channels: 1,
            sample_rate: rate.get(),
            bits_per_sample: 32,
            sample_format: hound::SampleFormat::Float,
        };
        let writer =
            hound::WavWriter::create(path, spec).map_err(|source| KeepingError { path: path.to_owned(), source })?;
        Ok(Keeping { path: path.to_owned(), writer })
    }

    /// Adds samples.
    ///
    /// # Errors
    /// It can't be written any more: a full disk, or more than a WAV file holds.
    pub fn add(&mut self, samples: &[f32]) -> Result<(), KeepingError> {
        for &sample in samples {
            self.writer.write_sample(sample).map_err(|source| KeepingError { path: self.path.clone(), source })?;
        }
        Ok(())
    }

    /// Ends the file.
    ///
    /// # Errors
    /// It can't be written any more.
    pub fn finish(self) -> Result<(), KeepingError> {
        let path = self.path;
        self.writer.finalize().map_err(|source| KeepingError { path, source })
    }
}
