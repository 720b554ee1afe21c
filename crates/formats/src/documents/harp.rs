//! A harp on file.
//!
//! ```text
//! (
//!     document: harp,
//!     version: 1,
//!     name: "Parlour harp",
//!     strings: preset(strings: 22, lowest: "G3", tuning: "Eb", levers_on: ["F", "C"]),
//! )
//! ```
//!
//! `preset` is a usual harp: `lowest` chooses where there are two of that size, `levers_on` names the letters that have
//! levers (all where it is left out). Any other harp lists its strings from the top:
//!
//! ```text
//!     strings: listed([
//!         (open: "C7", lever: fitted),
//!         (open: "Bb6", lever: measured(cents: 98.5), across_mm: 15.9, lever_above_mm: 64.0),
//!         (open: "Ab6", lever: none),
//!     ]),
//! ```
//!
//! What a lever check heard of a string stands with it too: the levels of its first partials in dB against the loudest of them,
//! the fundamental's first, open and raised, and its stiffness B (f_n = n · f_0 · √(1 + B·n²)); each may be left out:
//!
//! ```text
//!         (
//!             open: "C7",
//!             lever: measured(cents: 98.5),
//!             sound: (open_db: [0.0, -9.5, -21.0], raised_db: [0.0, -11.0], stiffness: 0.0002, raised_rattle: 0.02),
//!         ),
//! ```
//!
//! `across_mm` is a string's distance from the shortest one, `lever_above_mm` how far its lever is above the place where
//! it is plucked; nominal values stand in where they are left out. A harp of either kind may say how it is built register by
//! register instead, measured at a few strings with straight lines between:
//!
//! ```text
//!     geometry: (
//!         spacing_mm: [("C2", 17.0), ("C4", 15.9), ("C6", 13.5)],
//!         lever_above_mm: [("C2", 410.0), ("C4", 300.0), ("C6", 110.0)],
//!     ),
//! ```
//!
//! `spacing_mm` is from a string to the next one above it. A harp that says so is read and written as strings listed one by one.

use super::error::{shortened, value};
use crate::said;
use leverlane_core::harp::{
    Geometry, Harp, HarpString, Lever, Millimetres, Preset, Profile, StringPlace, StringSound, Tuning,
};
use leverlane_core::pitch::{Cents, Letter, SpelledPitch};
use serde::{Deserialize, Serialize};

use super::sound::WrittenSound;
use super::text::{self, Kind};
use super::{DocumentError, musical};

/// A harp as a player keeps it: a usual one, or string by string.
#[derive(Clone, Debug, PartialEq)]
pub enum HarpDocument {
    /// A usual harp.
    Preset {
        /// What the player calls it; empty for the preset's own name.
        name: String,
        /// Its strings.
        preset: Preset,
        /// How they are tuned.
        tuning: Tuning,
        /// The letters that have levers; none where all have.
        levers_on: Option<Vec<Letter>>,
    },
    /// Any harp.
    Listed(Harp),
}

impl HarpDocument {
    /// Reads a harp.
    ///
    /// # Errors
    /// Bytes that are no harp document, one of a newer version, or strings that make no harp.
    pub fn read(bytes: &[u8]) -> Result<HarpDocument, DocumentError> {
        text::version(bytes, Kind::Harp)?;
        let WrittenFile { name, strings, geometry, .. } = text::parse(bytes)?;
        WrittenHarp { name, strings, geometry }.read("")
    }

    /// Writes the harp in the newest version.
    ///
    /// # Errors
    /// None is known.
    pub fn write(&self) -> Result<Vec<u8>, DocumentError> {
        let WrittenHarp { name, strings, geometry } = WrittenHarp::from(self);
        text::write(&WrittenFile { document: Kind::Harp, version: Kind::Harp.newest(), name, strings, geometry })
    }

    /// The harp itself.
    pub fn harp(&self) -> Harp {
        match self {
            HarpDocument::Listed(harp) => harp.clone(),
            HarpDocument::Preset { name, preset, tuning, levers_on } => {
                let usual = preset.tuned(*tuning);
                let levered = match levers_on {
                    Some(letters) => usual.with_levers_on(letters),
                    None => usual,
                };
                if name.is_empty() {
                    return levered;
                }
                // The preset's strings make a harp under any name.
                Harp::new(name, levered.strings().to_vec()).unwrap_or(levered)
            }
        }
    }
}

/// Version 1 of a harp file.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenFile {
    document: Kind,
    version: u32,
    #[serde(default, skip_serializing_if = "String::is_empty")]
    name: String,
    strings: WrittenStrings,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    geometry: Option<WrittenGeometry>,
}

/// Version 1 of a harp inside another document.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenHarp {
    #[serde(default, skip_serializing_if = "String::is_empty")]
    name: String,
    strings: WrittenStrings,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    geometry: Option<WrittenGeometry>,
}

/// Lengths in millimetres, each at a string.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenGeometry {
    #[serde(default)]
    spacing_mm: Vec<(String, f64)>,
    #[serde(default)]
    lever_above_mm: Vec<(String, f64)>,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
enum WrittenStrings {
    Preset {
        strings: u8,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        lowest: Option<String>,
        tuning: String,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        levers_on: Option<Vec<String>>,
    },
    Listed(Vec<WrittenString>),
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenString {
    open: String,
    lever: WrittenLever,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    across_mm: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    lever_above_mm: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    sound: Option<WrittenSound>,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
enum WrittenLever {
    None,
    Fitted,
    Measured { cents: f64 },
}

impl From<&HarpDocument> for WrittenHarp {
    fn from(document: &HarpDocument) -> WrittenHarp {
        match document {
            HarpDocument::Listed(harp) => WrittenHarp {
                name: harp.name().to_owned(),
                strings: WrittenStrings::Listed(harp.strings().iter().map(written_string).collect()),
                geometry: None,
            },
            HarpDocument::Preset { name, preset, tuning, levers_on } => WrittenHarp {
                name: name.clone(),
                strings: WrittenStrings::Preset {
                    strings: preset.strings(),
                    lowest: lowest(*preset),
                    tuning: tuning.ascii().to_owned(),
                    levers_on: levers_on.as_ref().map(|letters| letters.iter().map(Letter::to_string).collect()),
                },
                geometry: None,
            },
        }
    }
}

/// The lowest string of a usual harp without its tuning, such as `G3`.
fn lowest(preset: Preset) -> Option<String> {
    preset.tuned(Tuning::C).strings().last().map(|string| string.open.ascii())
}

fn written_string(string: &HarpString) -> WrittenString {
    WrittenString {
        open: string.open.ascii(),
        lever: match string.lever {
            Lever::NotFitted => WrittenLever::None,
            Lever::Fitted { measured: None } => WrittenLever::Fitted,
            Lever::Fitted { measured: Some(cents) } => WrittenLever::Measured { cents: cents.get() },
        },
        across_mm: Some(string.place.across.get()),
        lever_above_mm: Some(string.place.lever_above.get()),
        sound: (string.sound != StringSound::UNHEARD).then(|| WrittenSound::from(&string.sound)),
    }
}

impl WrittenHarp {
    /// `place` is where in its document the harp stands, with a dot behind it; empty for a harp file.
    pub(super) fn read(&self, place: &str) -> Result<HarpDocument, DocumentError> {
        match &self.strings {
            WrittenStrings::Preset { strings, lowest, tuning, levers_on } => {
                let at = |field: &str| format!("{place}strings.preset.{field}");
                let levers_on = levers_on.as_ref().map(|letters| {
                    letters.iter().map(|text| musical::letter(&at("levers_on"), text)).collect::<Result<_, _>>()
                });
                let document = HarpDocument::Preset {
                    name: self.name.clone(),
                    preset: preset(&at("strings"), *strings, lowest.as_deref())?,
                    tuning: tuning.parse().map_err(|_| {
                        DocumentError::invalid(
                            at("tuning"),
                            value(format!("\"{tuning}\"")),
                            said!("C, F, Bb, Eb or Ab"),
                        )
                    })?,
                    levers_on: levers_on.transpose()?,
                };
                let Some(geometry) = self.geometry(place)? else { return Ok(document) };
                let harp = document.harp();
                let places = geometry.places(harp.strings().iter().map(|string| string.open));
                let built = harp.strings().iter().zip(places);
                let strings = built.map(|(string, place)| HarpString { place, ..string.clone() }).collect();
                listed(harp.name(), strings, place)
            }
            WrittenStrings::Listed(strings) => {
                let pitches = strings.iter().enumerate();
                let opens =
                    pitches.map(|(index, string)| musical::pitch(&string_at(place, index, "open"), &string.open));
                let opens = opens.collect::<Result<Vec<SpelledPitch>, _>>()?;
                let places = self.geometry(place)?.unwrap_or_default().places(opens.iter().copied());
                let each = strings.iter().zip(opens.into_iter().zip(places)).enumerate();
                let each = each.map(|(index, (string, (open, built)))| read_string(place, index, string, open, built));
                listed(&self.name, each.collect::<Result<Vec<_>, _>>()?, place)
            }
        }
    }

    fn geometry(&self, place: &str) -> Result<Option<Geometry>, DocumentError> {
        let Some(WrittenGeometry { spacing_mm, lever_above_mm }) = &self.geometry else { return Ok(None) };
        let spacing = profile(&format!("{place}geometry.spacing_mm"), spacing_mm, SPACING_MM)?;
        let lever_above = profile(&format!("{place}geometry.lever_above_mm"), lever_above_mm, 0.0..=FURTHEST_MM)?;
        Ok(Some(Geometry { spacing, lever_above }))
    }
}

/// None for an empty list.
fn profile(
    at: &str,
    measured: &[(String, f64)],
    range: std::ops::RangeInclusive<f64>,
) -> Result<Option<Profile>, DocumentError> {
    let point = |(open, length): &(String, f64)| {
        let length = musical::within(at, *length, range.clone(), "mm")?;
        Ok((musical::pitch(at, open)?, Millimetres::new(length)))
    };
    let points = measured.iter().map(point).collect::<Result<Vec<_>, DocumentError>>()?;
    match Profile::through(&points) {
        Some(profile) => Ok(Some(profile)),
        None if points.is_empty() => Ok(None),
        None => Err(DocumentError::invalid(at, said!("the same string twice"), said!("each string once"))),
    }
}

fn listed(name: &str, strings: Vec<HarpString>, place: &str) -> Result<HarpDocument, DocumentError> {
    let harp = Harp::new(name, strings).map_err(|error| {
        DocumentError::invalid(
            format!("{place}strings"),
            value(error),
            said!("strings from the top, each letter lower"),
        )
    })?;
    Ok(HarpDocument::Listed(harp))
}

fn preset(place: &str, strings: u8, wanted: Option<&str>) -> Result<Preset, DocumentError> {
    let fits = |preset: &Preset| {
        preset.strings() == strings && wanted.is_none_or(|wanted| lowest(*preset).as_deref() == Some(wanted))
    };
    Preset::ALL.into_iter().find(fits).ok_or_else(|| {
        let found = match wanted {
            None => value(strings),
            Some(lowest) => said!("{strings} strings from {lowest}", strings, lowest = shortened(lowest)),
        };
        let known: Vec<String> = Preset::ALL.into_iter().map(Preset::name).collect();
        DocumentError::invalid(place, found, said!("one of {known}", known = known.join("; ")))
    })
}

/// From a string to the next, in millimetres: closer no finger fits between, farther no hand spans a chord.
const SPACING_MM: std::ops::RangeInclusive<f64> = 5.0..=50.0;
/// A string can't stand further away than this, in millimetres.
const FURTHEST_MM: f64 = 5_000.0;
/// What a lever can be found to raise its string by, in cents: nothing to three semitones.
const MEASURED_CENTS: std::ops::RangeInclusive<f64> = 0.0..=300.0;

/// A field of a string, for a message.
fn string_at(place: &str, index: usize, field: &str) -> String {
    format!("{place}string {}, {field}", index + 1)
}

/// `built` is where the string stands unless it says otherwise.
fn read_string(
    place: &str,
    index: usize,
    written: &WrittenString,
    open: SpelledPitch,
    built: StringPlace,
) -> Result<HarpString, DocumentError> {
    let at = |field: &str| string_at(place, index, field);
    let lever = match written.lever {
        WrittenLever::None => Lever::NotFitted,
        WrittenLever::Fitted => Lever::UNCHECKED,
        WrittenLever::Measured { cents } => {
            Lever::Fitted { measured: Some(Cents::new(musical::within(&at("cents"), cents, MEASURED_CENTS, "cents")?)) }
        }
    };
    let millimetres = |field: &str, given: Option<f64>, built: Millimetres| match given {
        None => Ok(built),
        Some(given) => musical::within(&at(field), given, 0.0..=FURTHEST_MM, "mm").map(Millimetres::new),
    };
    Ok(HarpString {
        open,
        lever,
        place: StringPlace {
            across: millimetres("across_mm", written.across_mm, built.across)?,
            lever_above: millimetres("lever_above_mm", written.lever_above_mm, built.lever_above)?,
        },
        sound: written.sound.as_ref().map_or(Ok(StringSound::UNHEARD), |sound| sound.read(&at("sound")))?,
    })
}

#[cfg(test)]
mod tests;
