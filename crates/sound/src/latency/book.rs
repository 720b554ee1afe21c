//! The latencies of pairs of devices, kept from one day to the next.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use leverlane_core::time::Seconds;
use serde::{Deserialize, Serialize};

use crate::latency::measure::{Latency, MeasuredBy};
use crate::sample_clock::SampleRate;

/// The document's version.
const VERSION: u32 = 1;
/// A longer file is no book of ours.
const LONGEST: u64 = 1 << 20;

/// A loudspeaker and a microphone, each at its rate: where one of the four changes the latency is another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DevicePair {
    /// The loudspeaker's name.
    pub output: String,
    /// Its rate.
    pub output_rate: SampleRate,
    /// The microphone's name to remember.
    pub input: String,
    /// Its rate.
    pub input_rate: SampleRate,
}

/// A pair's latency.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// The pair.
    pub pair: DevicePair,
    /// Its latency.
    pub latency: Latency,
}

/// All pairs that were measured.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LatencyBook {
    entries: Vec<Measured>,
}

/// A book that can't be read or written.
#[derive(Debug, thiserror::Error)]
pub enum BookError {
    /// It can't be read or written.
    #[error("{}: {source}; the latency is not kept, measure it again next time", path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// It isn't a book of latencies.
    #[error("{}: {found}, expected measured latencies: delete the file and measure again", path.display())]
    Content {
        /// The file.
        path: PathBuf,
        /// What was found.
        found: String,
    },
}

#[derive(Serialize, Deserialize)]
struct Document {
    version: u32,
    pairs: Vec<Entry>,
}

#[derive(Serialize, Deserialize)]
struct Entry {
    output: String,
    output_rate: u32,
    input: String,
    input_rate: u32,
    milliseconds: f64,
    spread_milliseconds: f64,
    clear: usize,
    by: Way,
}

#[derive(Clone, Copy, Serialize, Deserialize)]
enum Way {
    Sweeps,
    Taps,
}

impl LatencyBook {
    /// Reads a book; where there is no file it is empty.
    ///
    /// # Errors
    /// The file can't be read, or isn't a book.
    pub fn read(path: &Path) -> Result<LatencyBook, BookError> {
        let file = |source| BookError::File { path: path.to_owned(), source };
        let content = |found: String| BookError::Content { path: path.to_owned(), found };
        match fs::metadata(path) {
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(LatencyBook::default()),
            Err(error) => return Err(file(error)),
            Ok(known) if known.len() > LONGEST => return Err(content(format!("{} bytes", known.len()))),
            Ok(_) => {}
        }
        let bytes = fs::read(path).map_err(file)?;
        let document: Document =
            ron::de::from_bytes(&bytes).map_err(|error| content(error.to_string().replace('\n', " ")))?;
        if document.version != VERSION {
            return Err(content(format!("version {}", document.version)));
        }
        let entries = document.pairs.into_iter().map(|entry| entry.measured()).collect::<Option<Vec<_>>>();
        Ok(LatencyBook { entries: entries.ok_or_else(|| content("a rate or time that can't be".to_owned()))? })
    }

    /// Writes the book; an older one is replaced in one step, so that it is never half written.
    ///
    /// # Errors
    /// It can't be written.
    pub fn write(&self, path: &Path) -> Result<(), BookError> {
        let file = |source| BookError::File { path: path.to_owned(), source };
        let document = Document { version: VERSION, pairs: self.entries.iter().map(Entry::of).collect() };
        let text = ron::ser::to_string_pretty(&document, ron::ser::PrettyConfig::default())
            .map_err(|error| file(std::io::Error::other(error)))?;
        if let Some(folder) = path.parent() {
            fs::create_dir_all(folder).map_err(file)?;
        }
        let beside = path.with_extension("ron.new");
        let mut new = fs::File::create(&beside).map_err(file)?;
        new.write_all(text.as_bytes()).and_then(|()| new.sync_all()).map_err(file)?;
        fs::rename(&beside, path).map_err(file)
    }

    /// The latency of a pair; none where it was never measured.
    pub fn latency_of(&self, pair: &DevicePair) -> Option<Latency> {
        self.entries.iter().find(|entry| entry.pair == *pair).map(|entry| entry.latency)
    }

    /// Notes a pair's latency in place of the one before.
    pub fn note(&mut self, pair: DevicePair, latency: Latency) {
        self.entries.retain(|entry| entry.pair != pair);
        self.entries.push(Measured { pair, latency });
    }

    /// All pairs, in the order in which they were measured.
    pub fn entries(&self) -> &[Measured] {
        &self.entries
    }
}

impl Entry {
    fn of(measured: &Measured) -> Entry {
        let Measured { pair, latency } = measured;
        Entry {
            output: pair.output.clone(),
            output_rate: pair.output_rate.get(),
            input: pair.input.clone(),
            input_rate: pair.input_rate.get(),
            milliseconds: latency.seconds.get() * 1_000.0,
            spread_milliseconds: latency.spread.get() * 1_000.0,
            clear: latency.clear,
            by: match latency.by {
                MeasuredBy::Sweeps => Way::Sweeps,
                MeasuredBy::Taps => Way::Taps,
            },
        }
    }

    fn measured(self) -> Option<Measured> {
        let milliseconds = [self.milliseconds, self.spread_milliseconds];
        if !milliseconds.iter().all(|value| value.is_finite() && value.abs() < 10_000.0) {
            return None;
        }
        let pair = DevicePair {
            output: self.output,
            output_rate: SampleRate::new(self.output_rate)?,
            input: self.input,
            input_rate: SampleRate::new(self.input_rate)?,
        };
        let latency = Latency {
            seconds: Seconds::new(self.milliseconds / 1_000.0),
            spread: Seconds::new(self.spread_milliseconds / 1_000.0),
            clear: self.clear,
            by: match self.by {
                Way::Sweeps => MeasuredBy::Sweeps,
                Way::Taps => MeasuredBy::Taps,
            },
        };
        Some(Measured { pair, latency })
    }
}
