//! Lever marks among the words of a score: a letter and an accidental alone.
//!
//! Harpists write them where a lever is moved, over, under or between the staves, sometimes boxed, sometimes several at
//! once, and as a list at the head of a piece (common practice; no standard defines them). `F♯`, `F#`, `Bb`, `C nat.`,
//! `F♯ C♯`, with an octave where it matters (`F#4`, `F4♯`). Words with anything else in them are no lever marks; neither
//! is a letter alone, which names a section.

use leverlane_core::pitch::Letter;

/// A mark as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct WrittenMark {
    pub(super) letter: Letter,
    /// Semitones.
    pub(super) alter: i8,
    pub(super) octave: Option<i8>,
}

/// More than any harpist sets in one place.
const MOST: usize = 14;

/// The marks that words consist of; none where they say anything else.
pub(super) fn marks(words: &str) -> Vec<WrittenMark> {
    let mut found = Vec::new();
    let mut rest = words.trim();
    while !rest.is_empty() {
        let Some((mark, after)) = mark(rest) else { return Vec::new() };
        let separated = after.trim_start_matches([' ', ',', ';', '\n', '\r', '\t', '/', '+', '\u{a0}']);
        if separated.len() == after.len() && !after.is_empty() || found.len() == MOST {
            return Vec::new();
        }
        found.push(mark);
        rest = separated;
    }
    found
}

/// The first mark of a text, and what follows it.
fn mark(text: &str) -> Option<(WrittenMark, &str)> {
    let letter = text.chars().next().filter(char::is_ascii_uppercase).and_then(Letter::from_char)?;
    let (before, rest) = octave(&text[1..]);
    let (alter, rest) = accidental(rest)?;
    let (after, rest) = if before.is_none() { octave(rest) } else { (None, rest) };
    Some((WrittenMark { letter, alter, octave: before.or(after) }, rest))
}

fn octave(text: &str) -> (Option<i8>, &str) {
    match text.chars().next().and_then(|c| c.to_digit(10)).and_then(|digit| i8::try_from(digit).ok()) {
        Some(octave) => (Some(octave), &text[1..]),
        None => (None, text),
    }
}

/// Signs (SMuFL's among them: U+E260 to U+E262) and words.
fn accidental(text: &str) -> Option<(i8, &str)> {
    const SIGNS: [(&str, i8); 14] = [
        ("♯", 1),
        ("#", 1),
        ("\u{e262}", 1),
        ("♭", -1),
        ("\u{e260}", -1),
        ("♮", 0),
        ("\u{e261}", 0),
        ("sharp", 1),
        ("flat", -1),
        ("natural", 0),
        ("nat.", 0),
        ("nat", 0),
        ("b", -1),
        ("n", 0),
    ];
    let signs = text.trim_start_matches([' ', '-', '\u{a0}']);
    let found = SIGNS.iter().find_map(|&(sign, alter)| Some((sign, alter, signs.strip_prefix(sign)?)));
    // A short sign stands at its letter: "F n" or "A b" would be something else.
    found.filter(|(sign, ..)| signs.len() == text.len() || sign.len() > 1).map(|(_, alter, rest)| (alter, rest))
}

/// SMuFL's names of the accidentals, as `symbol` elements give them.
pub(super) fn sign_of_symbol(name: &str) -> Option<&'static str> {
    match name {
        "accidentalSharp" => Some("♯"),
        "accidentalFlat" => Some("♭"),
        "accidentalNatural" => Some("♮"),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(words: &str) -> Vec<(char, i8, Option<i8>)> {
        marks(words).iter().map(|mark| (mark.letter.as_char(), mark.alter, mark.octave)).collect()
    }

    /// Ways of writing them (common practice).
    #[test]
    fn marks_as_harpists_write_them() {
        assert_eq!(names("F♯"), [('F', 1, None)]);
        assert_eq!(names(" Bb "), [('B', -1, None)]);
        assert_eq!(names("B♭"), names("B flat"));
        assert_eq!(names("C♮"), names("Cn"));
        assert_eq!(names("C natural"), names("C nat."));
        assert_eq!(names("F#4"), [('F', 1, Some(4))]);
        assert_eq!(names("F4♯"), names("F♯4"));
        assert_eq!(names("F♯, C♯\nG\u{e261}"), [('F', 1, None), ('C', 1, None), ('G', 0, None)]);
    }

    #[test]
    fn other_words_are_left_alone() {
        for words in [
            "",
            "A",
            "B",
            "f",
            "a#",
            "Fine",
            "F♯ minor",
            "Db major",
            "D.C.",
            "Coda",
            "Cb?",
            "F♯♯",
            "F n",
            "A b",
            "Bbb",
            "Fsharper",
            "C#m7",
        ] {
            assert!(names(words).is_empty(), "{words}: {:?}", names(words));
        }
        let many = "F♯ ".repeat(15);
        assert!(names(&many).is_empty());
    }
}
