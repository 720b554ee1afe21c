//! Glissandi and slides: two notes that belong together, wherever in the part they stand.

use crate::said;
use std::collections::BTreeMap;

use leverlane_core::score::Note;
use roxmltree::Node;

use super::warnings::Warnings;

/// One end of a glissando at a note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct End<'a> {
    /// `glissando` or `slide`: they are numbered apart.
    kind: &'a str,
    number: &'a str,
    begins: bool,
}

/// A `glissando` or `slide` element; none where it says neither start nor stop.
pub(super) fn end<'a>(node: Node<'a, '_>) -> Option<End<'a>> {
    let begins = match node.attribute("type")? {
        "start" => true,
        "stop" => false,
        _ => return None,
    };
    Some(End { kind: node.tag_name().name(), number: node.attribute("number").unwrap_or("1").trim(), begins })
}

/// The glissandi of a part of which one end has been read, by kind and number: the note by its place in the part.
#[derive(Debug, Default)]
pub(super) struct OpenGlissandi {
    begun: BTreeMap<(String, String), usize>,
    /// A line from the lower staff to the upper one ends, in the document's order, before it begins (MusicXML 4.0,
    /// `number-level`).
    ended: BTreeMap<(String, String), usize>,
}

impl OpenGlissandi {
    /// The last of these notes has such ends; gives the number of strings that a finished one crosses.
    pub(super) fn at_last_note(&mut self, notes: &mut [Note], ends: &[End<'_>], warnings: &mut Warnings) -> usize {
        let Some(last) = notes.len().checked_sub(1) else { return 0 };
        let name = |end: &End<'_>| (end.kind.to_owned(), end.number.to_owned());
        let mut crossed = 0;
        // A note may end one and begin the next under the same number.
        for end in ends.iter().filter(|end| !end.begins) {
            match self.begun.remove(&name(end)) {
                Some(from) => crossed += join(notes, from, last),
                None => {
                    if let Some(stray) = self.ended.insert(name(end), last) {
                        never_begun(&notes[stray], warnings);
                    }
                }
            }
        }
        for end in ends.iter().filter(|end| end.begins) {
            match self.ended.remove(&name(end)) {
                Some(to) if goes_back(&notes[last], &notes[to]) => crossed += join(notes, last, to),
                stray => {
                    if let Some(stray) = stray {
                        never_begun(&notes[stray], warnings);
                    }
                    if let Some(lost) = self.begun.insert(name(end), last) {
                        never_ends(&notes[lost], warnings);
                    }
                }
            }
        }
        crossed
    }

    /// Tells of those of which the other end never comes.
    pub(super) fn finish(self, notes: &[Note], warnings: &mut Warnings) {
        self.begun.into_values().for_each(|lost| never_ends(&notes[lost], warnings));
        self.ended.into_values().for_each(|stray| never_begun(&notes[stray], warnings));
    }
}

/// Whether a glissando from a note can lead to one that was written before it, in the same bar.
fn goes_back(from: &Note, to: &Note) -> bool {
    to.bar == from.bar && to.onset >= from.onset + from.length
}

/// The number of strings crossed.
fn join(notes: &mut [Note], from: usize, to: usize) -> usize {
    let pitch = notes[to].pitch;
    notes[from].glissando_to = Some(pitch);
    usize::from(notes[from].pitch.staff_steps().abs_diff(pitch.staff_steps()))
}

fn never_begun(note: &Note, warnings: &mut Warnings) {
    warnings.in_bar(note.bar.get(), said!("a glissando that ends without having begun is left out"));
}

fn never_ends(note: &Note, warnings: &mut Warnings) {
    warnings.in_bar(note.bar.get(), said!("a glissando that never ends is left out"));
}
