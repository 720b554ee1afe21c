//! One `note` element.

use leverlane_core::pitch::Letter;
use leverlane_core::score::{Finger, Roll, Tie};
use roxmltree::Node;

use super::document::{child, child_text, children, malformed, quoted, text_of};
use super::glissando::{self, End};
use super::quarters::Quarters;
use crate::{ImportError, said};

/// What a note element stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Content {
    Pitch(WrittenPitch),
    Rest,
    /// A place on the staff without a pitch, as for drums.
    Unpitched,
}

/// A pitch as written, before transposition.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct WrittenPitch {
    pub(super) letter: Letter,
    /// Semitones; quarter tones are fractions.
    pub(super) alter: f64,
    pub(super) octave: i32,
}

/// How long a note is, in the file's divisions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Span {
    Timed(Quarters),
    Grace,
}

/// A harmonic, and what the written note stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Harmonic {
    /// The written note is the string; it sounds an octave higher.
    WrittenAsString,
    /// The written note is what sounds; the string is an octave lower.
    WrittenAsSounding,
}

/// Everything about one note that the score keeps.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct NoteElement<'a> {
    pub(super) content: Content,
    pub(super) span: Span,
    pub(super) joins_chord: bool,
    pub(super) cue: bool,
    pub(super) voice: &'a str,
    pub(super) staff: u8,
    pub(super) tie: Tie,
    pub(super) roll: Option<Roll>,
    pub(super) rings_on: bool,
    pub(super) held: bool,
    pub(super) harmonic: Option<Harmonic>,
    pub(super) fingers: Vec<Finger>,
    /// A fingering that is none of the usual.
    pub(super) odd_fingering: Option<&'a str>,
    pub(super) glissandi: Vec<End<'a>>,
}

/// More than stand at one note.
const MOST_FINGERS: usize = 5;

/// Reads a note.
///
/// # Errors
/// A step that is no letter, numbers that are none, a note without duration or with a negative one.
pub(super) fn read<'a>(node: Node<'a, '_>) -> Result<NoteElement<'a>, ImportError> {
    let mut note = NoteElement {
        content: Content::Rest,
        span: Span::Timed(Quarters::ZERO),
        joins_chord: false,
        cue: false,
        voice: "1",
        staff: 1,
        tie: Tie::None,
        roll: None,
        rings_on: false,
        held: false,
        harmonic: None,
        fingers: Vec::new(),
        odd_fingering: None,
        glissandi: Vec::new(),
    };
    let (mut starts, mut stops) = (false, false);
    let mut duration = None;
    for part in node.children().filter(Node::is_element) {
        match part.tag_name().name() {
            "grace" => note.span = Span::Grace,
            "cue" => note.cue = true,
            "chord" => note.joins_chord = true,
            "pitch" => note.content = Content::Pitch(pitch(part)?),
            "unpitched" => note.content = Content::Unpitched,
            "duration" => duration = Some(length(part)?),
            "tie" => match part.attribute("type") {
                Some("start") => starts = true,
                Some("stop") => stops = true,
                Some("let-ring") => note.rings_on = true,
                _ => {}
            },
            "voice" => note.voice = text_of(part),
            "staff" => note.staff = text_of(part).parse().ok().filter(|&staff| staff > 0).unwrap_or(1),
            "notations" => notations(part, &mut note),
            _ => {}
        }
    }
    note.tie = match (starts, stops) {
        (true, true) => Tie::Continue,
        (true, false) => Tie::Start,
        (false, true) => Tie::Stop,
        (false, false) => Tie::None,
    };
    if let Span::Timed(span) = &mut note.span {
        *span = match duration {
            Some(duration) => duration,
            // Only the length of a cue is ever left out by the standard (within a grace).
            None if note.cue => Quarters::ZERO,
            None => return Err(malformed(node, said!("a note without duration"), said!("a <duration>"))),
        };
    }
    Ok(note)
}

/// The number in a `duration` element: zero or more.
pub(super) fn length(node: Node<'_, '_>) -> Result<Quarters, ImportError> {
    let text = text_of(node);
    match Quarters::from_decimal(text) {
        Some(length) if !length.is_negative() => Ok(length),
        Some(_) => Err(malformed(
            node,
            said!("the negative duration {text}", text = quoted(text)),
            said!("a duration of 0 or more"),
        )),
        None => Err(malformed(node, said!("the duration {text}", text = quoted(text)), said!("a number of divisions"))),
    }
}

fn pitch(node: Node<'_, '_>) -> Result<WrittenPitch, ImportError> {
    let step = child_text(node, "step").unwrap_or("");
    let mut letters = step.chars();
    let letter = match (letters.next().and_then(Letter::from_char), letters.next()) {
        (Some(letter), None) => letter,
        _ => return Err(malformed(node, said!("the step {step}", step = quoted(step)), said!("a letter from A to G"))),
    };
    let octave = child_text(node, "octave").unwrap_or("");
    let octave = octave.parse().ok().filter(|octave| (-2..=12).contains(octave)).ok_or_else(|| {
        malformed(node, said!("the octave {octave}", octave = quoted(octave)), said!("a number from 0 to 9"))
    })?;
    let alter = child_text(node, "alter").filter(|text| !text.is_empty()).unwrap_or("0");
    let alter = alter.parse().ok().filter(|alter: &f64| alter.abs() <= 12.0).ok_or_else(|| {
        malformed(node, said!("the alteration {alter}", alter = quoted(alter)), said!("a number of semitones"))
    })?;
    Ok(WrittenPitch { letter, alter, octave })
}

fn notations<'a>(node: Node<'a, '_>, note: &mut NoteElement<'a>) {
    for notation in node.children().filter(Node::is_element) {
        match notation.tag_name().name() {
            "tied" if notation.attribute("type") == Some("let-ring") => note.rings_on = true,
            "arpeggiate" => {
                note.roll = Some(if notation.attribute("direction") == Some("down") { Roll::Down } else { Roll::Up });
            }
            "fermata" => note.held = true,
            "technical" => technical(notation, note),
            "glissando" | "slide" => note.glissandi.extend(glissando::end(notation)),
            _ => {}
        }
    }
}

fn technical<'a>(node: Node<'a, '_>, note: &mut NoteElement<'a>) {
    note.harmonic = note.harmonic.or(child(node, "harmonic").and_then(harmonic));
    for written in children(node, "fingering").map(text_of) {
        // "1-3" or "1 3" lets one finger take over from another.
        for word in written.split([' ', '-', '–']).filter(|word| !word.is_empty()) {
            match word.parse().ok().and_then(Finger::new) {
                Some(finger) if note.fingers.len() < MOST_FINGERS => note.fingers.push(finger),
                _ => note.odd_fingering = Some(written),
            }
        }
    }
}

/// An artificial harmonic is a bowed instrument's: its note is left as written.
fn harmonic(node: Node<'_, '_>) -> Option<Harmonic> {
    if child(node, "artificial").is_some() {
        return None;
    }
    let sounding = child(node, "sounding-pitch").is_some();
    Some(if sounding { Harmonic::WrittenAsSounding } else { Harmonic::WrittenAsString })
}
