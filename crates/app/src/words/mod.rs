//! Everything the window says, in the player's language and with her names of notes.
//!
//! The texts stand in `texts/en.ftl` and `texts/de.ftl` (Fluent); a test sees to it that both have the same keys and
//! that every key the code asks for is there. What a file's reader or the system reports comes from outside and stays
//! as it is.

mod notes;
mod texts;

pub use notes::{NoteNames, Octaves};
pub use texts::Language;

use fluent_bundle::FluentValue;
use leverlane_formats::{Gap, Said};

/// How the window speaks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Words {
    /// The language of its texts.
    pub language: Language,
    /// What it calls the notes.
    pub notes: NoteNames,
    /// How it counts octaves.
    pub octaves: Octaves,
}

impl Words {
    /// A text without gaps.
    pub fn text(self, key: &str) -> String {
        texts::of(self.language, key, &[])
    }

    /// A text with its gaps filled in.
    pub fn with<const N: usize>(self, key: &str, gaps: [(&str, FluentValue<'_>); N]) -> String {
        texts::of(self.language, key, &gaps)
    }

    /// What was reported, in the player's language.
    pub fn said(self, said: &Said) -> String {
        if self.language == Language::English || said.sentence().is_empty() {
            return said.to_string();
        }
        let fill = |gap: &Gap| match gap {
            Gap::Number(number) => FluentValue::from(*number),
            Gap::Decimal(number) => FluentValue::from(self.with_decimals(number)),
            Gap::Text(text) => FluentValue::from(text.clone()),
            Gap::Said(said) => FluentValue::from(self.said(said)),
        };
        let gaps: Vec<_> = said.gaps().iter().map(|(name, gap)| (*name, fill(gap))).collect();
        let key = texts::report_key(said.sentence());
        texts::message(self.language, &key, &gaps).unwrap_or_else(|| said.to_string())
    }

    /// A number without idle decimals: `96`, `61.5`; in German `61,5`.
    pub fn number(self, value: f64) -> String {
        let tenths = (value * 10.0).round() / 10.0;
        self.decimal(tenths, usize::from(tenths.fract() != 0.0))
    }

    /// A number with so many decimals.
    pub fn decimal(self, value: f64, decimals: usize) -> String {
        self.with_decimals(&format!("{value:.decimals$}"))
    }

    /// A number that was written with a point, as this language writes it.
    pub fn with_decimals(self, number: &str) -> String {
        match self.language {
            Language::English => number.to_owned(),
            Language::German => number.replace('.', ","),
        }
    }
}

#[cfg(test)]
mod tests;
