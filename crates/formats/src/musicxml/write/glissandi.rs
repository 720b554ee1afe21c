//! The lines of glissandi, each from the note where the hand begins to sweep to the one where it arrives.

use std::collections::HashMap;
use std::ops::Range;

use leverlane_core::pitch::SpelledPitch;
use leverlane_core::score::{Note, NoteRef, VoiceIndex};
use leverlane_core::time::Ticks;

use crate::{Warning, said};

/// Lines that are open together have numbers of their own; the standard's `number-level` goes so far.
const NUMBERS: Range<usize> = 1..17;

/// The ends of lines, as elements by the notes at which they stand.
#[derive(Clone, Debug, Default)]
pub(super) struct Glissandi(HashMap<NoteRef, String>);

/// The order of writing: bar, staff, and the order within.
type Written = (usize, usize, VoiceIndex, Ticks, NoteRef);

/// A note and where it is written.
#[derive(Clone, Copy)]
struct Place<'a> {
    bar: usize,
    staff: usize,
    reference: NoteRef,
    note: &'a Note,
}

impl Place<'_> {
    fn written(&self) -> Written {
        (self.bar, self.staff, self.note.voice, self.note.onset, self.reference)
    }

    fn begins(&self) -> (usize, Ticks) {
        (self.bar, self.note.onset)
    }

    fn ends(&self) -> (usize, Ticks) {
        (self.bar, self.note.onset + self.note.length)
    }
}

/// A glissando between two notes.
#[derive(Clone, Copy)]
struct Line<'a> {
    from: Place<'a>,
    to: Place<'a>,
}

impl Line<'_> {
    /// Its ends in the order of writing: a line from the lower staff to the upper one goes back.
    fn written(&self) -> (Written, Written) {
        let (from, to) = (self.from.written(), self.to.written());
        (from.min(to), from.max(to))
    }
}

impl Glissandi {
    /// The lines of a part, of which each staff's notes are given bar by bar, as far as both ends are in some bars. A line of
    /// which the end is on another part is told.
    pub(super) fn within(
        bars: &Range<usize>,
        staves: &[Vec<Vec<(NoteRef, &Note)>>],
        warnings: &mut Vec<Warning>,
    ) -> Glissandi {
        let mut glissandi = Glissandi::default();
        let mut open: Vec<(usize, Written)> = Vec::new();
        for line in lines(staves, warnings) {
            if !bars.contains(&line.from.bar) || !bars.contains(&line.to.bar) {
                continue;
            }
            let (first, last) = line.written();
            // A note may end one line and begin the next.
            open.retain(|(_, closes)| *closes > first);
            let Some(number) = NUMBERS.into_iter().find(|number| open.iter().all(|(taken, _)| taken != number)) else {
                let reason = said!("the line of a glissando is left out: too many cross each other");
                warnings.push(Warning { bar: Some(line.from.note.bar), reason });
                continue;
            };
            open.push((number, last));
            for (place, kind) in [(line.from, "start"), (line.to, "stop")] {
                *glissandi.0.entry(place.reference).or_default() +=
                    &format!("<glissando number=\"{number}\" type=\"{kind}\" line-type=\"solid\"/>");
            }
        }
        glissandi
    }

    /// The elements at a note.
    pub(super) fn at(&self, note: NoteRef) -> &str {
        self.0.get(&note).map_or("", String::as_str)
    }
}

/// Every line, in the order of writing.
fn lines<'a>(staves: &[Vec<Vec<(NoteRef, &'a Note)>>], warnings: &mut Vec<Warning>) -> Vec<Line<'a>> {
    let places = staves.iter().enumerate().flat_map(|(staff, notes)| {
        notes.iter().enumerate().flat_map(move |(bar, notes)| {
            notes.iter().map(move |&(reference, note)| Place { bar, staff, reference, note })
        })
    });
    let begun: Vec<Place<'a>> = places.clone().filter(|place| place.note.glissando_to.is_some()).collect();
    if begun.is_empty() {
        return Vec::new();
    }
    let mut by_pitch: HashMap<SpelledPitch, Vec<Place<'a>>> = HashMap::new();
    for place in places {
        by_pitch.entry(place.note.pitch).or_default().push(place);
    }
    by_pitch.values_mut().for_each(|places| places.sort_by_key(Place::begins));
    // A glissando leads to the first note of its pitch that begins once it is over.
    let arrival = |from: &Place<'a>| {
        let places = by_pitch.get(&from.note.glissando_to?)?;
        let first = places.partition_point(|place| place.begins() < from.ends());
        places[first..].iter().find(|place| place.reference != from.reference)
    };
    let mut lines = Vec::new();
    for from in begun {
        match arrival(&from) {
            Some(&to) => lines.push(Line { from, to }),
            None => {
                let reason = said!("the line of a glissando is left out: its end is not on the same part");
                warnings.push(Warning { bar: Some(from.note.bar), reason });
            }
        }
    }
    lines.sort_by_key(Line::written);
    lines
}
