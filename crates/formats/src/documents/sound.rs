//! How a string sounds, as it stands in a document.

use leverlane_core::harp::{Rattle, Stiffness, StringSound, Timbre, TimbreError};
use serde::{Deserialize, Serialize};

use super::DocumentError;
use super::error::value;
use crate::said;

/// Levels in decibels against the loudest partial, the fundamental's first.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenSound {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    open_db: Option<Vec<f64>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    raised_db: Option<Vec<f64>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    stiffness: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    open_rattle: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    raised_rattle: Option<f64>,
}

impl From<&StringSound> for WrittenSound {
    fn from(sound: &StringSound) -> WrittenSound {
        let levels = |timbre: &Timbre| timbre.levels().to_vec();
        WrittenSound {
            open_db: sound.open.as_ref().map(levels),
            raised_db: sound.raised.as_ref().map(levels),
            stiffness: sound.stiffness.map(Stiffness::get),
            open_rattle: sound.open_rattle.map(Rattle::get),
            raised_rattle: sound.raised_rattle.map(Rattle::get),
        }
    }
}

impl WrittenSound {
    /// # Errors
    /// Levels that are no timbre, a stiffness that no string has, or a rattle that is no share.
    pub(super) fn read(&self, place: &str) -> Result<StringSound, DocumentError> {
        let read = |field: &str, levels: &Option<Vec<f64>>| {
            levels.as_ref().map(|levels| timbre(&format!("{place}, {field}"), levels)).transpose()
        };
        let stiff = |b: f64| {
            let (least, most) = (Stiffness::RANGE.start().to_string(), Stiffness::RANGE.end().to_string());
            let expected = said!("a stiffness of {least} to {most}", least, most);
            Stiffness::new(b).ok_or_else(|| DocumentError::invalid(format!("{place}, stiffness"), value(b), expected))
        };
        let rattle = |field: &str, share: Option<f64>| {
            let refused =
                |share| DocumentError::invalid(format!("{place}, {field}"), value(share), said!("a share of 0 to 1"));
            share.map(|share| Rattle::new(share).ok_or_else(|| refused(share))).transpose()
        };
        Ok(StringSound {
            open: read("open_db", &self.open_db)?,
            raised: read("raised_db", &self.raised_db)?,
            stiffness: self.stiffness.map(stiff).transpose()?,
            open_rattle: rattle("open_rattle", self.open_rattle)?,
            raised_rattle: rattle("raised_rattle", self.raised_rattle)?,
        })
    }
}

fn timbre(place: &str, levels: &[f64]) -> Result<Timbre, DocumentError> {
    Timbre::new(levels).map_err(|error| {
        let found = match error {
            TimbreError::Count { found } => said!("{count} partials", count = found),
            TimbreError::Level { found, .. } => value(found),
            TimbreError::Loudest { found } => said!("{level} dB as the highest level", level = found.to_string()),
        };
        let most = Timbre::MOST_PARTIALS;
        let faintest = Timbre::FAINTEST_DB.to_string();
        let expected = said!("1 to {most} levels of {faintest} to 0 dB, the loudest 0", most, faintest);
        DocumentError::invalid(place, found, expected)
    })
}
