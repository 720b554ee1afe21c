//! The texts of each language.

use std::sync::LazyLock;

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};

/// The languages that the window speaks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Language {
    /// English.
    #[default]
    English,
    /// German.
    German,
}

impl Language {
    /// All of them.
    pub const ALL: [Language; 2] = [Language::English, Language::German];

    /// What it calls itself.
    pub const fn name(self) -> &'static str {
        match self {
            Language::English => "English",
            Language::German => "Deutsch",
        }
    }

    /// Its texts as they stand in their file.
    pub(super) const fn source(self) -> &'static str {
        match self {
            Language::English => include_str!("../../texts/en.ftl"),
            Language::German => include_str!("../../texts/de.ftl"),
        }
    }

    /// Its texts for what is reported; none where the reports speak this language themselves.
    pub(super) const fn reports(self) -> &'static str {
        match self {
            Language::English => "",
            Language::German => include_str!("../../texts/reports.de.ftl"),
        }
    }

    /// Its code, `en` or `de`.
    pub const fn code(self) -> &'static str {
        match self {
            Language::English => "en",
            Language::German => "de",
        }
    }
}

static ENGLISH: LazyLock<FluentBundle<FluentResource>> = LazyLock::new(|| bundle(Language::English));
static GERMAN: LazyLock<FluentBundle<FluentResource>> = LazyLock::new(|| bundle(Language::German));

fn bundle(language: Language) -> FluentBundle<FluentResource> {
    let locales = language.code().parse().into_iter().collect();
    let mut bundle = FluentBundle::new_concurrent(locales);
    // The marks that set a gap apart from text of the other direction would show as boxes.
    bundle.set_use_isolating(false);
    // What parses is used even where something else in the file doesn't; a test refuses such a file.
    for source in [language.source(), language.reports()] {
        let resource = FluentResource::try_new(source.to_owned()).unwrap_or_else(|(parsed, _)| parsed);
        bundle.add_resource_overriding(resource);
    }
    bundle
}

/// A text with its gaps filled in; the key itself where there is no such text.
pub(super) fn of(language: Language, key: &str, gaps: &[(&str, FluentValue<'_>)]) -> String {
    message(language, key, gaps).unwrap_or_else(|| key.to_owned())
}

/// The key of what is reported: the letters and digits of its sentence in English, with a hyphen for all between.
pub(super) fn report_key(sentence: &str) -> String {
    let words = sentence.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| !word.is_empty());
    words.fold("said".to_owned(), |key, word| format!("{key}-{}", word.to_ascii_lowercase()))
}

/// A text with its gaps filled in, if there is one of this key.
pub(super) fn message(language: Language, key: &str, gaps: &[(&str, FluentValue<'_>)]) -> Option<String> {
    let bundle: &FluentBundle<FluentResource> = match language {
        Language::English => &ENGLISH,
        Language::German => &GERMAN,
    };
    let pattern = bundle.get_message(key).and_then(|message| message.value())?;
    let filled: FluentArgs<'_> = gaps.iter().map(|(name, value)| (*name, value.clone())).collect();
    // A gap that wasn't filled shows by its name in the text.
    let mut unfilled = Vec::new();
    Some(bundle.format_pattern(pattern, Some(&filled), &mut unfilled).into_owned())
}
