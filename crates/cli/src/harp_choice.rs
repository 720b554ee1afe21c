//! Arguments about the harp.

use std::path::PathBuf;

use clap::Args;
use leverlane_core::harp::{Harp, Preset, Tuning};
use leverlane_formats::{documents, files};

use crate::refusal::Refusal;

/// The harp that is asked for where none is named.
const USUAL_STRINGS: &str = "34";

/// Which harp, and how it is tuned.
#[derive(Clone, Debug, Args)]
pub struct HarpChoice {
    /// The harp: a number of strings (19, 22, 26, 27, 29, 30, 34, 36, 38 or 40), or a RON file that describes it.
    #[arg(long, value_name = "STRINGS|FILE", default_value = USUAL_STRINGS)]
    harp: String,
    /// How its open strings are tuned: C, F, Bb, Eb or Ab. A RON file says that itself. [default: Eb]
    #[arg(long, value_name = "KEY")]
    tuning: Option<Tuning>,
}

impl HarpChoice {
    /// The harp.
    ///
    /// # Errors
    /// A number of strings that no usual harp has, a tuning beside a file, or a file that describes no harp.
    pub fn harp(&self) -> Result<Harp, Refusal> {
        let is_number = !self.harp.is_empty() && self.harp.bytes().all(|byte| byte.is_ascii_digit());
        match (is_number, self.tuning) {
            (true, tuning) => {
                let preset = self.harp.parse().ok().and_then(Preset::with_strings);
                let preset = preset.ok_or_else(|| {
                    Refusal::wrong_usage(format!(
                        "--harp {}: no usual harp has so many strings, expected {}; or describe yours in a file",
                        self.harp,
                        usual_string_counts()
                    ))
                })?;
                Ok(preset.tuned(tuning.unwrap_or(Tuning::EFlat)))
            }
            (false, None) => {
                let path = PathBuf::from(&self.harp);
                let bytes = files::read(&path, documents::MOST_BYTES)?;
                let document = documents::HarpDocument::read(&bytes)
                    .map_err(|error| Refusal::of_file(&files::shown(&path), error))?;
                Ok(document.harp())
            }
            (false, Some(tuning)) => Err(Refusal::wrong_usage(format!(
                "--tuning {} can't go with --harp {}: a file says itself how its strings are tuned",
                tuning.ascii(),
                self.harp
            ))),
        }
    }
}

fn usual_string_counts() -> String {
    let mut counts: Vec<String> = Preset::ALL.iter().map(|preset| preset.strings().to_string()).collect();
    counts.dedup();
    counts.join(", ")
}
