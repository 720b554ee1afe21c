//! Directions, sounds and barlines: tempo, and the signs that steer the way through the bars.

use crate::{Said, said};
use leverlane_core::score::{Jump, JumpTarget, RepeatEnd, ToCoda};
use leverlane_core::time::{Tempo, TempoError, Ticks};
use roxmltree::Node;

use super::document::{child, child_text, children, quoted, text_of};

/// A sign that steers the way, wherever in the bar it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Sign {
    ForwardRepeat,
    Segno(String),
    Coda(String),
    ToCoda(ToCoda),
    Jump(Jump),
    Fine,
}

/// Whether a sign is meant for playing or only printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum SignSource {
    /// From an attribute of `sound` or of a barline.
    Sound,
    /// From the words or the sign that are printed.
    Print,
}

/// The name that a printed sign goes by.
const UNNAMED: &str = "1";

/// The signs in the attributes of a `sound` element.
pub(super) fn signs_of_sound(sound: Node<'_, '_>) -> Vec<Sign> {
    let name = |attribute| sound.attribute(attribute).map(|name: &str| name.trim().to_owned());
    let yes = |attribute| sound.attribute(attribute).is_some_and(|value| value.trim() != "no");
    let passes = || sound.attribute("time-only").map(numbers).unwrap_or_default();
    let mut signs = Vec::new();
    if yes("forward-repeat") {
        signs.push(Sign::ForwardRepeat);
    }
    signs.extend(name("segno").map(Sign::Segno));
    signs.extend(name("coda").map(Sign::Coda));
    signs.extend(name("tocoda").map(|coda| Sign::ToCoda(ToCoda { coda, passes: passes() })));
    signs.extend(
        name("dalsegno").map(|segno| Sign::Jump(Jump { target: JumpTarget::DalSegno(segno), passes: passes() })),
    );
    if yes("dacapo") {
        signs.push(Sign::Jump(Jump { target: JumpTarget::DaCapo, passes: passes() }));
    }
    if yes("fine") {
        signs.push(Sign::Fine);
    }
    signs
}

/// The signs that a direction prints: the segno and coda signs, and words such as "D.C. al Fine".
pub(super) fn printed_signs(direction: Node<'_, '_>) -> Vec<Sign> {
    let mut signs = Vec::new();
    let mut words = String::new();
    for printed in children(direction, "direction-type").flat_map(|kind| kind.children()).filter(Node::is_element) {
        match printed.tag_name().name() {
            "segno" => signs.push(Sign::Segno(UNNAMED.to_owned())),
            "coda" => signs.push(Sign::Coda(UNNAMED.to_owned())),
            "words" => {
                words.push_str(text_of(printed));
                words.push(' ');
            }
            _ => {}
        }
    }
    if let Some(sign) = sign_of_words(&words) {
        // A coda sign printed beside the words "to coda" belongs to them.
        if matches!(sign, Sign::ToCoda(_)) {
            signs.retain(|sign| !matches!(sign, Sign::Coda(_)));
        }
        signs.push(sign);
    }
    signs
}

/// The words as printed in scores (common practice), dots, case and spaces aside.
fn sign_of_words(words: &str) -> Option<Sign> {
    let plain: String = words.to_lowercase().chars().filter(|c| c.is_alphabetic()).collect();
    let jump = |target| Some(Sign::Jump(Jump { target, passes: Vec::new() }));
    match plain.as_str() {
        "fine" => Some(Sign::Fine),
        "segno" => Some(Sign::Segno(UNNAMED.to_owned())),
        "coda" => Some(Sign::Coda(UNNAMED.to_owned())),
        "tocoda" | "alcoda" => Some(Sign::ToCoda(ToCoda { coda: UNNAMED.to_owned(), passes: Vec::new() })),
        "dc" | "dacapo" | "dcalfine" | "dacapoalfine" | "dcalcoda" | "dacapoalcoda" => jump(JumpTarget::DaCapo),
        "ds" | "dalsegno" | "dsalfine" | "dalsegnoalfine" | "dsalcoda" | "dalsegnoalcoda" => {
            jump(JumpTarget::DalSegno(UNNAMED.to_owned()))
        }
        _ => None,
    }
}

/// What a barline says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Barline {
    pub(super) location: Location,
    pub(super) forward: bool,
    pub(super) backward: Option<RepeatEnd>,
    /// The passes of an ending that begins here.
    pub(super) ending_starts: Option<Vec<u8>>,
    /// The passes of an ending that stops here.
    pub(super) ending_stops: Option<Vec<u8>>,
    pub(super) segno: Option<String>,
    pub(super) coda: Option<String>,
}

/// Where in its bar a barline stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Location {
    Left,
    Middle,
    #[default]
    Right,
}

/// Reads a barline.
pub(super) fn barline(node: Node<'_, '_>) -> Barline {
    let location = match node.attribute("location") {
        Some("left") => Location::Left,
        Some("middle") => Location::Middle,
        _ => Location::Right,
    };
    let name = |attribute| node.attribute(attribute).map(|name: &str| name.trim().to_owned());
    let mut read = Barline { location, segno: name("segno"), coda: name("coda"), ..Barline::default() };
    if let Some(repeat) = child(node, "repeat") {
        match repeat.attribute("direction") {
            Some("forward") => read.forward = true,
            _ => {
                let times = repeat.attribute("times").and_then(|times| times.trim().parse().ok());
                read.backward = Some(RepeatEnd {
                    times: times.filter(|&times| times > 0).unwrap_or(2),
                    after_jump: repeat.attribute("after-jump") == Some("yes"),
                });
            }
        }
    }
    for ending in children(node, "ending") {
        let passes = Some(numbers(ending.attribute("number").unwrap_or("")));
        match ending.attribute("type") {
            Some("start") => read.ending_starts = passes,
            _ => read.ending_stops = passes,
        }
    }
    read
}

/// Numbers as in `ending` and `time-only`: "1", "1, 2", also "1-3".
fn numbers(text: &str) -> Vec<u8> {
    let mut found = Vec::new();
    for word in text.split([',', ' ', ';', '.']).filter(|word| !word.is_empty()) {
        let (first, last) = word.split_once('-').unwrap_or((word, word));
        if let (Ok(first), Ok(last)) = (first.parse::<u8>(), last.parse::<u8>()) {
            found.extend((first.max(1)..=last).filter(|number| !found.contains(number)).collect::<Vec<_>>());
        }
    }
    found
}

/// The tempo of a direction, or of a bare `sound`; an error says why one that stands there can't be used.
pub(super) fn tempo(direction: Node<'_, '_>) -> Option<Result<Tempo, Said>> {
    let sound = if direction.has_tag_name("sound") { Some(direction) } else { child(direction, "sound") };
    let heard = sound.and_then(|sound| sound.attribute("tempo")).map(|text| {
        let number =
            text.trim().parse::<f64>().map_err(|_| said!("the tempo {text} is no number", text = quoted(text)))?;
        Tempo::quarters(number).map_err(too_far)
    });
    let metronome = children(direction, "direction-type").find_map(|kind| child(kind, "metronome"));
    let printed = metronome.map(|node| metronome_mark(node));
    match (heard, printed) {
        // The same tempo said in the unit that is printed.
        (Some(Ok(heard)), Some(Ok(printed)))
            if (heard.quarters_per_minute() - printed.quarters_per_minute()).abs()
                <= 0.01 * heard.quarters_per_minute() =>
        {
            Some(Ok(printed))
        }
        (Some(heard), _) => Some(heard),
        (None, printed) => printed,
    }
}

fn metronome_mark(node: Node<'_, '_>) -> Result<Tempo, Said> {
    let unit = child_text(node, "beat-unit").unwrap_or("");
    let plain =
        unit_length(unit).ok_or_else(|| said!("a metronome mark over {unit} is not followed", unit = quoted(unit)))?;
    let mut beat = plain;
    let mut dot = plain.get();
    for _ in children(node, "beat-unit-dot").take(3) {
        dot /= 2;
        beat += Ticks::new(dot);
    }
    let text =
        child_text(node, "per-minute").ok_or_else(|| said!("a metronome mark without a number is not followed"))?;
    let digits: String =
        text.chars().skip_while(|c| !c.is_ascii_digit()).take_while(|c| c.is_ascii_digit() || *c == '.').collect();
    let number =
        digits.parse::<f64>().map_err(|_| said!("a metronome mark of {text} is not followed", text = quoted(text)))?;
    Tempo::beats(beat, number).map_err(too_far)
}

/// A tempo that nobody can play.
fn too_far(error: TempoError) -> Said {
    said!(
        "a tempo of {found} quarter notes a minute ({slowest} to {fastest} can be played) is not followed",
        found = (error.found * 10.0).round() / 10.0,
        slowest = Tempo::SLOWEST,
        fastest = Tempo::FASTEST
    )
}

/// The length of a note type by its name in the standard.
fn unit_length(name: &str) -> Option<Ticks> {
    let (numerator, denominator) = match name {
        "long" => (16, 1),
        "breve" => (8, 1),
        "whole" => (4, 1),
        "half" => (2, 1),
        "quarter" => (1, 1),
        "eighth" => (1, 2),
        "16th" => (1, 4),
        "32nd" => (1, 8),
        "64th" => (1, 16),
        _ => return None,
    };
    Ticks::from_quarters(numerator, denominator)
}

#[cfg(test)]
mod tests;
