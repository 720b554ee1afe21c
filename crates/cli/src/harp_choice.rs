//! Arguments about the harp.

use std::path::PathBuf;

use clap::Args;
use leverlane_core::harp::{Preset, Tuning};
use leverlane_formats::documents::{self, HarpDocument};
use leverlane_formats::files;

use crate::refusal::Refusal;

/// The harp that is asked for where none is named.
const USUAL_STRINGS: &str = "34";

/// Which harp, and how it is tuned.
#[derive(Clone, Debug, Args)]
pub struct HarpChoice {
    /// The harp: a number of strings (19, 22, 26, 27, 29, 30, 34, 36, 38 or 40), or a RON file that describes it.
    /// [default: 34, or the piece document's]
    #[arg(long, value_name = "STRINGS|FILE")]
    harp: Option<String>,
    /// How its open strings are tuned: C, F, Bb, Eb or Ab. A RON file says that itself. [default: Eb]
    #[arg(long, value_name = "KEY")]
    tuning: Option<Tuning>,
}

impl HarpChoice {
    /// The harp as a document; where none is asked for, that of `piece`.
    ///
    /// # Errors
    /// A number of strings that no usual harp has, a tuning beside a file, or a file that describes no harp.
    pub fn document(&self, piece: Option<&HarpDocument>) -> Result<HarpDocument, Refusal> {
        let asked = match (&self.harp, piece, self.tuning) {
            (None, Some(harp), None) => return Ok(harp.clone()),
            (None, Some(harp), Some(tuning)) => return retuned(harp, tuning),
            (asked, _, _) => asked.as_deref().unwrap_or(USUAL_STRINGS),
        };
        let is_number = !asked.is_empty() && asked.bytes().all(|byte| byte.is_ascii_digit());
        match (is_number, self.tuning) {
            (true, tuning) => {
                let preset = asked.parse().ok().and_then(Preset::with_strings);
                let preset = preset.ok_or_else(|| {
                    Refusal::wrong_usage(format!(
                        "--harp {asked}: no usual harp has so many strings, expected {}; or describe yours in a file",
                        usual_string_counts()
                    ))
                })?;
                let tuning = tuning.unwrap_or(Tuning::EFlat);
                Ok(HarpDocument::Preset { name: String::new(), preset, tuning, levers_on: None })
            }
            (false, None) => {
                let path = PathBuf::from(asked);
                let bytes = files::read(&path, documents::MOST_BYTES)?;
                HarpDocument::read(&bytes).map_err(|error| Refusal::of_file(&files::shown(&path), error))
            }
            (false, Some(tuning)) => Err(Refusal::wrong_usage(format!(
                "--tuning {} can't go with --harp {asked}: a file says itself how its strings are tuned",
                tuning.ascii()
            ))),
        }
    }
}

/// A piece's harp in another tuning.
fn retuned(harp: &HarpDocument, tuning: Tuning) -> Result<HarpDocument, Refusal> {
    match harp {
        HarpDocument::Preset { name, preset, levers_on, .. } => {
            Ok(HarpDocument::Preset { name: name.clone(), preset: *preset, tuning, levers_on: levers_on.clone() })
        }
        HarpDocument::Listed(harp) => harp
            .retuned(tuning)
            .map(HarpDocument::Listed)
            .map_err(|error| Refusal::wrong_usage(format!("--tuning {}: {error}", tuning.ascii()))),
    }
}

fn usual_string_counts() -> String {
    let mut counts: Vec<String> = Preset::ALL.iter().map(|preset| preset.strings().to_string()).collect();
    counts.dedup();
    counts.join(", ")
}
