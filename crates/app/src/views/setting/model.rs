//! A setting in words.

use leverlane_core::harp::{Harp, LeverState, Setting};
use leverlane_core::pitch::Letter;

use crate::words::Words;

/// The raised levers of a setting in words: `every A, B and E, every G but G3; F4, F5`, or `none`.
///
/// A letter whose strings are all up is named once; one with few left down is named with its exceptions; else
/// each string stands by itself.
pub fn setting_in_words(words: Words, harp: &Harp, setting: &Setting) -> String {
    let mut whole = Vec::new();
    let mut most = Vec::new();
    let mut single = Vec::new();
    for letter in Letter::ALL {
        let of_letter =
            harp.numbered().filter(|(_, string)| string.open.letter() == letter && string.lever.is_fitted());
        let (up, down): (Vec<_>, Vec<_>) = of_letter.partition(|(number, _)| setting.of(*number) == LeverState::Up);
        let named = |strings: &[(_, &leverlane_core::harp::HarpString)]| {
            // From the bass up, as a scale is read.
            strings.iter().rev().map(|(_, string)| words.string(string.open)).collect::<Vec<_>>()
        };
        match (up.len(), down.len()) {
            (0, _) => {}
            (2.., 0) => whole.push(words.letter(letter).to_owned()),
            (raised @ 3.., lowered @ 1..) if 2 * lowered < raised => {
                let strings = named(&down).join(&format!(" {} ", words.text("and")));
                let letter = words.letter(letter);
                most.push(words.with("levers-but", [("letter", letter.into()), ("strings", strings.into())]));
            }
            _ => single.extend(named(&up)),
        }
    }
    let whole = match whole.split_last() {
        None => None,
        Some((only, [])) => Some(only.clone()),
        Some((last, others)) => {
            let gaps = [("first", others.join(", ").into()), ("last", last.clone().into())];
            Some(words.with("list-and", gaps))
        }
    };
    let whole = whole.map(|letters| words.with("levers-every", [("letters", letters.into())]));
    let letters: Vec<String> = whole.into_iter().chain(most).collect();
    let parts: Vec<String> =
        [letters.join(", "), single.join(", ")].into_iter().filter(|part| !part.is_empty()).collect();
    if parts.is_empty() { words.text("levers-none") } else { parts.join("; ") }
}

#[cfg(test)]
mod tests;
