//! Key signatures: `K:` (ABC 2.1 §3.1.14 and §4.6).

use crate::{Said, said};
use leverlane_core::pitch::{Key, Letter};

/// What a `K:` field does to each letter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Signature {
    alters: [i8; 7],
    /// The nearest signature on the circle of fifths.
    pub(super) key: Key,
}

/// A key field as read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct KeyField {
    /// None where the field names only a clef or other properties.
    pub(super) signature: Option<Signature>,
    /// What follows the key: `clef=`, `octave=`, `transpose=` and the like.
    pub(super) properties: String,
    /// What was read otherwise than it stands, in a sentence.
    pub(super) warning: Option<Said>,
}

impl Signature {
    pub(super) const NONE: Signature = Signature { alters: [0; 7], key: Key::NATURAL };

    pub(super) fn of_key(key: Key) -> Signature {
        Signature { alters: Letter::ALL.map(|letter| key.alter(letter)), key }
    }

    pub(super) fn alter(&self, letter: Letter) -> i8 {
        self.alters[usize::from(letter.steps_above_c())]
    }
}

/// Fifths above C of the naturals (circle of fifths: F C G D A E B).
fn fifths_above_c(letter: Letter) -> i8 {
    match letter {
        Letter::F => -1,
        Letter::C => 0,
        Letter::G => 1,
        Letter::D => 2,
        Letter::A => 3,
        Letter::E => 4,
        Letter::B => 5,
    }
}

/// What a mode takes from the major signature of its tonic, and the word that names it (§3.1.14: only the first three
/// letters count, and capitals don't).
fn mode_fifths(word: &str) -> Option<i8> {
    let lower = word.to_ascii_lowercase();
    Some(match lower.get(..3).unwrap_or(&lower) {
        "" | "maj" | "ion" => 0,
        "m" | "min" | "aeo" => -3,
        "mix" => -1,
        "dor" => -2,
        "phr" => -4,
        "lyd" => 1,
        "loc" => -5,
        _ => return None,
    })
}

/// Reads what stands after `K:`.
///
/// # Errors
/// The text that is no key.
pub(super) fn parse_key(text: &str) -> Result<KeyField, String> {
    let text = text.trim();
    let (word, rest) = split_word(text);
    let read =
        |signature, properties: &str, warning| Ok(KeyField { signature, properties: properties.to_owned(), warning });
    match word {
        "" => return read(Some(Signature::NONE), "", None),
        "none" => return read(Some(Signature::NONE), rest, None),
        "Hp" => return read(Key::from_fifths(2).map(Signature::of_key), rest, None),
        "HP" => {
            let said = said!(
                "K:HP prints no key signature; the notes are read as they stand, though pipes sound F and C sharp"
            );
            return read(Some(Signature::NONE), rest, Some(said));
        }
        _ => {}
    }
    if word.starts_with(|c: char| c.is_ascii_lowercase()) && word.contains('=') || is_clef(word) {
        return read(None, text, None);
    }
    let mut chars = word.chars();
    let Some(tonic) = chars.next().filter(char::is_ascii_uppercase).and_then(Letter::from_char) else {
        return Err(word.to_owned());
    };
    let mut fifths = fifths_above_c(tonic);
    let mut after = chars.as_str();
    if let Some(rest) = after.strip_prefix('#').or_else(|| after.strip_prefix('♯')) {
        (fifths, after) = (fifths + 7, rest);
    } else if let Some(rest) = after.strip_prefix('b').or_else(|| after.strip_prefix('♭')) {
        (fifths, after) = (fifths - 7, rest);
    }
    // The mode may stand apart, and accidentals may follow without a space: "Dmix=c".
    let mut remaining = format!("{after} {rest}");
    let trimmed = remaining.trim_start();
    let end = trimmed.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(trimmed.len());
    let mut mode = 0;
    let mut base = true;
    let mut warning = None;
    let stands_alone = after.is_empty();
    match mode_fifths(&trimmed[..end]) {
        _ if trimmed[..end].eq_ignore_ascii_case("exp") => (base, remaining) = (false, trimmed[end..].to_owned()),
        // "m=" is a clef's property.
        Some(found) if !(&trimmed[..end] == "m" && trimmed[end..].starts_with('=')) => {
            (mode, remaining) = (found, trimmed[end..].to_owned());
        }
        _ if stands_alone => remaining = trimmed.to_owned(),
        _ => {
            warning = Some(said!("the mode of \"K:{word}\" is not known: read as major", word));
            remaining = trimmed[end..].to_owned();
        }
    }
    let key = Key::from_fifths(fifths + mode).ok_or_else(|| word.to_owned())?;
    let mut signature = if base { Signature::of_key(key) } else { Signature::NONE };
    let properties = take_accidentals(&mut signature, &remaining);
    if let Some(said) = settle(&mut signature) {
        warning = warning.or(Some(said));
    }
    read(Some(signature), &properties, warning)
}

fn split_word(text: &str) -> (&str, &str) {
    let end = text.find(char::is_whitespace).unwrap_or(text.len());
    (&text[..end], text[end..].trim_start())
}

/// A clef may stand without `clef=` (§4.6).
pub(super) fn is_clef(word: &str) -> bool {
    let name = word.trim_end_matches(['+', '-', '8', '1', '2', '3', '4', '5']);
    matches!(name, "treble" | "bass" | "alto" | "tenor" | "perc" | "none")
}

/// Takes accidentals such as `^f _b =c` off the front of a key's rest and puts them into the signature.
fn take_accidentals(signature: &mut Signature, rest: &str) -> String {
    let mut left = rest.trim_start();
    loop {
        let signs = left.len() - left.trim_start_matches(['^', '_', '=']).len();
        let alter = match &left[..signs] {
            "^" => 1,
            "^^" => 2,
            "_" => -1,
            "__" => -2,
            "=" => 0,
            _ => return left.to_owned(),
        };
        let Some(letter) = left[signs..].chars().next().and_then(Letter::from_char) else { return left.to_owned() };
        signature.alters[usize::from(letter.steps_above_c())] = alter;
        left = left[signs + 1..].trim_start();
    }
}

/// Finds the signature on the circle of fifths for the letters' accidentals; where there is none, the nearest.
fn settle(signature: &mut Signature) -> Option<Said> {
    let differences =
        |key: Key| Letter::ALL.iter().filter(|&&letter| key.alter(letter) != signature.alter(letter)).count();
    let keys = (-7..=7).filter_map(Key::from_fifths);
    let nearest = keys.min_by_key(|&key| (differences(key), key.fifths().abs())).unwrap_or_default();
    let off = differences(nearest);
    signature.key = nearest;
    (off > 0).then(|| {
        said!(
            "the key's accidentals make no usual signature: the notes follow them, the levers of untouched strings \
             follow the nearest usual one"
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fifths(text: &str) -> i8 {
        parse_key(text).unwrap().signature.unwrap().key.fifths()
    }

    /// The table of ABC 2.1 §3.1.14 (from memory), which follows from the modes' places on the circle of fifths.
    #[test]
    fn keys_and_modes() {
        for (text, expected) in [
            ("C", 0),
            ("C#", 7),
            ("Cb", -7),
            ("A#m", 7),
            ("G#Mix", 7),
            ("D#Dor", 7),
            ("E#Phr", 7),
            ("F#Lyd", 7),
            ("B#Loc", 7),
            ("Em", 1),
            ("E Minor", 1),
            ("A Mixolydian", 2),
            ("ADor", 1),
            ("BbMaj", -2),
            ("Bb major", -2),
            ("Eaeolian", 1),
            ("Fion", -1),
            ("Hp", 2),
            ("HP", 0),
            ("none", 0),
            ("", 0),
            (" EM", 1),
        ] {
            assert_eq!(fifths(text), expected, "{text}");
        }
        assert!(parse_key("H").is_err() && parse_key("B#").is_err() && parse_key("x").is_err());
    }

    #[test]
    fn accidentals_and_properties_may_follow() {
        let harmonic = parse_key("Am ^g clef=bass octave=-1").unwrap();
        assert_eq!(harmonic.signature.unwrap().alter(Letter::G), 1);
        assert_eq!(harmonic.properties, "clef=bass octave=-1");
        assert!(harmonic.warning.is_some(), "G sharp alone is no usual signature");
        let phrygian = parse_key("D exp _b _e ^f").unwrap().signature.unwrap();
        assert_eq!(Letter::ALL.map(|l| phrygian.alter(l)), [0, 0, -1, 1, 0, 0, -1]);
        assert_eq!(parse_key("Dmix=c").unwrap().signature.unwrap().key.fifths(), 1);
        assert_eq!(fifths("D =c"), 1, "D major with C natural has one sharp left");
        assert_eq!(
            parse_key("clef=alto").unwrap(),
            KeyField { signature: None, properties: "clef=alto".to_owned(), warning: None }
        );
        assert_eq!(parse_key("bass").unwrap().properties, "bass");
        assert_eq!(parse_key("G clef=treble").unwrap().properties, "clef=treble");
        assert!(parse_key("Dmixm").unwrap().warning.is_none(), "only the first three letters of a mode count");
        assert!(parse_key("Bn").unwrap().warning.is_some());
    }
}
