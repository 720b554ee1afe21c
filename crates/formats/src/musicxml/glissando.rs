//! Glissandi and slides: two notes that belong together, wherever in the part they stand.

use crate::{Said, said};
use std::collections::HashMap;

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

/// The glissandi of a part that have begun and not ended: the note by its place in the part, and its bar.
#[derive(Debug, Default)]
pub(super) struct OpenGlissandi(HashMap<(String, String), (usize, usize)>);

impl OpenGlissandi {
    /// The last of these notes has such ends; gives the number of strings that a finished one crosses.
    pub(super) fn at_last_note(&mut self, notes: &mut [Note], ends: &[End<'_>], warnings: &mut Warnings) -> usize {
        let Some(last) = notes.len().checked_sub(1) else { return 0 };
        let (pitch, bar) = (notes[last].pitch, notes[last].bar.get());
        let mut crossed = 0;
        // A note may end one and begin the next under the same number.
        for end in ends.iter().filter(|end| !end.begins) {
            match self.0.remove(&(end.kind.to_owned(), end.number.to_owned())) {
                Some((from, _)) if from < last => {
                    let steps = (i32::from(notes[from].pitch.staff_steps()) - i32::from(pitch.staff_steps())).abs();
                    crossed += usize::try_from(steps).unwrap_or(0);
                    notes[from].glissando_to = Some(pitch);
                }
                _ => warnings.in_bar(bar, said!("a glissando that ends without having begun is left out")),
            }
        }
        for end in ends.iter().filter(|end| end.begins) {
            if let Some((_, bar)) = self.0.insert((end.kind.to_owned(), end.number.to_owned()), (last, bar)) {
                warnings.in_bar(bar, never_ends());
            }
        }
        crossed
    }

    /// Tells of those that never end.
    pub(super) fn finish(self, warnings: &mut Warnings) {
        for (_, bar) in self.0.into_values() {
            warnings.in_bar(bar, never_ends());
        }
    }
}

fn never_ends() -> Said {
    said!("a glissando that never ends is left out")
}
