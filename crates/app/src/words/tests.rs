use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;

use fluent_bundle::FluentResource;
use leverlane_core::pitch::SpelledPitch;
use leverlane_formats::said;

use super::*;

fn keys(language: Language) -> BTreeSet<String> {
    FluentResource::try_new(language.source().to_owned())
        .unwrap_or_else(|(_, errors)| panic!("{language:?}: {errors:?}"));
    language
        .source()
        .lines()
        .filter(|line| line.starts_with(|first: char| first.is_ascii_lowercase()))
        .map(|line| line.split_once('=').unwrap().0.trim().to_owned())
        .collect()
}

/// Every text exists in every language, and has the same gaps.
#[test]
fn languages_have_the_same_keys() {
    let english = keys(Language::English);
    assert!(english.len() > 100);
    for language in Language::ALL {
        let theirs = keys(language);
        assert_eq!(english.difference(&theirs).collect::<Vec<_>>(), Vec::<&String>::new(), "missing in {language:?}");
        assert_eq!(theirs.difference(&english).collect::<Vec<_>>(), Vec::<&String>::new(), "only in {language:?}");
        let count = language.source().lines().filter(|line| line.starts_with(|c: char| c.is_ascii_lowercase())).count();
        assert_eq!(count, theirs.len(), "{language:?} has a key twice");
    }
}

fn gaps(language: Language, key: &str) -> BTreeSet<String> {
    let source = language.source();
    let from = source.find(&format!("\n{key} =")).unwrap_or_else(|| panic!("{key}"));
    let rest = &source[from + 1..];
    let end = rest
        .char_indices()
        .find(|&(at, c)| c == '\n' && !rest[at + 1..].starts_with([' ', '}']))
        .map_or(rest.len(), |(at, _)| at);
    let gap = |part: &str| part.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '-').collect::<String>();
    rest[..end].split('$').skip(1).map(gap).collect()
}

#[test]
fn languages_have_the_same_gaps() {
    for key in keys(Language::English) {
        assert_eq!(gaps(Language::English, &key), gaps(Language::German, &key), "{key}");
    }
}

/// Whatever the code asks for by a plain key is there.
#[test]
fn every_key_in_the_code_exists() {
    let known = keys(Language::English);
    let mut asked = 0;
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("src")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let code = fs::read_to_string(&path).unwrap();
            for opening in ["words.text(\"", "words.with(\"", "self.text(\"", "self.with(\""] {
                for part in code.split(opening).skip(1) {
                    let key = part.split('"').next().unwrap();
                    assert!(known.contains(key), "{}: \"{key}\"", path.display());
                    asked += 1;
                }
            }
        }
    }
    assert!(asked > 50, "the search found only {asked}");
}

/// Every sentence that `said!` makes anywhere, as it stands in the code: the text of a literal, its line breaks taken out.
fn sentences() -> BTreeSet<String> {
    let mut sentences = BTreeSet::new();
    let crates = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let mut folders = vec![crates.join("formats/src"), crates.join("app/src")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if !path.ends_with("said.rs") && !path.ends_with("tests.rs") {
                let code = fs::read_to_string(&path).unwrap();
                sentences.extend(code.split("said!(").skip(1).filter_map(literal));
            }
        }
    }
    sentences
}

fn literal(code: &str) -> Option<String> {
    let mut signs = code.trim_start().strip_prefix('"')?.chars().peekable();
    let mut text = String::new();
    loop {
        match signs.next()? {
            '"' => return Some(text),
            '\\' => match signs.next()? {
                '\n' => while signs.next_if(|sign| sign.is_whitespace()).is_some() {},
                sign => text.push(sign),
            },
            sign => text.push(sign),
        }
    }
}

/// What is reported is said in every language, with the same gaps; and nothing stands there that nobody says.
#[test]
fn every_report_is_said_in_every_language() {
    let sentences = sentences();
    assert!(sentences.len() > 300, "the search found only {}", sentences.len());
    for language in Language::ALL.into_iter().filter(|language| !language.reports().is_empty()) {
        let (resource, texts) = (FluentResource::try_new(language.reports().to_owned()).unwrap(), language.reports());
        assert!(resource.entries().count() > 300);
        let texts: BTreeMap<&str, &str> = texts.lines().filter_map(|line| line.split_once(" = ")).collect();
        let mut said = BTreeSet::new();
        for sentence in &sentences {
            let key = texts::report_key(sentence);
            let text = texts.get(key.as_str()).unwrap_or_else(|| panic!("{language:?} lacks {key}: {sentence}"));
            let gaps = |text: &str, from: &str, to: &str| -> BTreeSet<String> {
                text.split(from).skip(1).map(|rest| rest.split(to).next().unwrap().to_owned()).collect()
            };
            assert_eq!(gaps(text, "{ $", " }"), gaps(sentence, "{", "}"), "{key}");
            said.insert(key);
        }
        let idle: Vec<_> = texts.keys().filter(|key| !said.contains(**key)).collect();
        assert_eq!(idle, Vec::<&&str>::new(), "{language:?}");
    }
}

/// The German was written down by hand.
#[test]
fn reports_are_said_in_the_players_language() {
    let german = Words { language: Language::German, ..Words::default() };
    let limit = said!("at most {most}", most = 15);
    let said = said!(
        "found {found}, expected {expected}; {remedy}",
        found = "x",
        expected = limit,
        remedy = said!("close it")
    );
    assert_eq!(Words::default().said(&said), "found x, expected at most 15; close it");
    assert_eq!(german.said(&said), "gefunden: x; erwartet: höchstens 15. Abhilfe: schließ es");
    assert_eq!(german.said(&Said::quoted("No such device")), "No such device");
    let step =
        said!("a ladder step of {found}: expected 0.5 to 50 beats a minute, or 0.5 to 50 per cent", found = 60.5);
    assert!(german.said(&step).starts_with("eine Stufe von 60,5: "), "{}", german.said(&step));
}

#[test]
fn numbers_are_written_as_the_language_writes_them() {
    let german = Words { language: Language::German, ..Words::default() };
    assert_eq!([german.number(61.5), german.number(96.04)], ["61,5", "96"]);
    assert_eq!([german.decimal(1.2, 2), Words::default().decimal(1.2, 2)], ["1,20", "1.20"]);
}

fn pitch(text: &str) -> SpelledPitch {
    text.parse().unwrap()
}

/// Common practice of the three languages; German's B is the lowered H, and vowels take a single s.
#[test]
fn notes_are_called_as_players_call_them() {
    let said = |notes, text: &str| Words { notes, ..Words::default() }.pitch(pitch(text));
    let all = |text| NoteNames::ALL.map(|notes| said(notes, text));
    assert_eq!(all("F#4"), ["F♯4", "Fis4", "Fa♯4"]);
    assert_eq!(all("Bb3"), ["B♭3", "B3", "Si♭3"]);
    assert_eq!(all("B3"), ["B3", "H3", "Si3"]);
    assert_eq!(all("Eb5"), ["E♭5", "Es5", "Mi♭5"]);
    assert_eq!(all("Ab5"), ["A♭5", "As5", "La♭5"]);
    assert_eq!(all("Db5"), ["D♭5", "Des5", "Re♭5"]);
    assert_eq!(all("C#5"), ["C♯5", "Cis5", "Do♯5"]);
    assert_eq!(said(NoteNames::German, "Bbb4"), "Heses4");
    assert_eq!(said(NoteNames::German, "Ebb4"), "Eses4");
    let flip = |notes, text: &str| Words { notes, ..Words::default() }.flip_note(pitch(text));
    assert_eq!(NoteNames::ALL.map(|notes| flip(notes, "C5")), ["C♮", "C", "Do♮"]);
}

/// The values of the harpists' count: C4 is 4C, F4 3F, C5 3C, A6 1A, C2 6C, A1 6A; above the first-octave E it is 0.
#[test]
fn harpists_count_octaves_from_the_top() {
    let words = Words { octaves: Octaves::Harpists, ..Words::default() };
    let said = |text: &str| words.pitch(pitch(text));
    let all = ["C4", "F4", "C5", "A6", "C2", "A1", "E7", "F7"].map(said);
    assert_eq!(all, ["4C", "3F", "3C", "1A", "6C", "6A", "1E", "0F"]);
}

#[test]
fn notes_for_the_ear() {
    let words = Words::default();
    assert_eq!(words.pitch_spoken(pitch("F#4")), "F sharp 4");
    assert_eq!(words.pitch_spoken(pitch("Bb3")), "B flat 3");
    assert_eq!(words.pitch_spoken(pitch("C5")), "C 5");
    let german = Words { notes: NoteNames::German, language: Language::German, ..words };
    assert_eq!(german.pitch_spoken(pitch("Bb3")), "B 3");
}
