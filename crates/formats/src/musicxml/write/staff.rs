//! One staff in one bar: its voices as `note` elements.

use std::collections::HashMap;

use leverlane_core::meter::Meter;
use leverlane_core::score::{Bar, Note, NoteKind, NoteRef, Roll, Tie};
use leverlane_core::time::Ticks;

use super::accidentals;
use super::glissandi::Glissandi;
use super::grouping::{self, Beam, Bracket, Item, Sounds};
use super::values::{NoteValue, joined_values, rests};
use super::voices::{self, Chord};

/// A staff's notes in one bar.
pub(super) struct StaffBar<'a> {
    pub(super) bar: &'a Bar,
    /// The notes, in any order.
    pub(super) notes: Vec<(NoteRef, &'a Note)>,
    /// Where fermatas stand over rests.
    pub(super) holds: &'a [Ticks],
    /// The ends of the part's glissandi.
    pub(super) glissandi: &'a Glissandi,
    /// The staff's number in its part, from 1.
    pub(super) number: u8,
    /// The part's divisions of a quarter.
    pub(super) divisions: i64,
    pub(super) size: NoteSize,
}

/// How large notes are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum NoteSize {
    /// As notes that are played from the part.
    Full,
    /// As cues: small, silent, without an id.
    Cue,
}

/// One printed thing of a voice.
struct Printed<'a> {
    item: Item,
    chord: Option<&'a Chord<'a>>,
    /// Whether it is tied to the piece of the same chord before it, and after it.
    joined: (Joined, Joined),
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Joined {
    Yes,
    No,
}

impl StaffBar<'_> {
    /// The staff's elements, each voice from the start of the bar; the cursor stands at its end afterwards.
    pub(super) fn write(&self, out: &mut String) {
        let printed = accidentals::printed(self.notes.iter().copied(), self.bar.key);
        let voices = voices::voices(self.notes.iter().copied());
        if voices.is_empty() {
            self.whole_rest(out);
        }
        for (index, voice) in voices.iter().enumerate() {
            if index > 0 {
                out.push_str(&format!("<backup><duration>{}</duration></backup>\n", self.divided(self.bar.length)));
            }
            self.voice(voice, index, &printed, out);
        }
    }

    /// The fermata over a rest that begins here, if there is one.
    fn hold_at(&self, at: Ticks) -> &'static str {
        if self.holds.contains(&at) { "<fermata/>" } else { "" }
    }

    fn divided(&self, length: Ticks) -> i64 {
        length.get() * self.divisions / Ticks::PER_QUARTER
    }

    /// How long an item lasts, from where it begins to where it ends, so that nothing adds up where a piece of a note is
    /// finer than the divisions.
    fn duration(&self, item: &Item) -> i64 {
        self.divided(item.onset + item.length) - self.divided(item.onset)
    }

    /// Voices 1 to 4 on the first staff, 5 to 8 on the second, as is usual; beyond these, odd and even numbers.
    fn voice_number(&self, index: usize) -> usize {
        let staff = usize::from(self.number.max(1)) - 1;
        if index < 4 { 4 * staff + index + 1 } else { 2 * index + staff + 1 }
    }

    fn tail(&self, voice: usize) -> String {
        format!("<voice>{voice}</voice><staff>{}</staff>", self.number)
    }

    fn whole_rest(&self, out: &mut String) {
        let (duration, voice) = (self.divided(self.bar.length), self.voice_number(0));
        out.push_str(&format!(
            "<note><rest measure=\"yes\"/><duration>{duration}</duration>{}{}</note>\n",
            self.tail(voice),
            notations(self.hold_at(Ticks::ZERO))
        ));
    }

    fn voice(
        &self,
        chords: &[Chord<'_>],
        voice: usize,
        accidentals: &HashMap<NoteRef, &'static str>,
        out: &mut String,
    ) {
        let number = self.voice_number(voice);
        let printed = self.printed(chords, voice);
        let items: Vec<Item> = printed.iter().map(|printed| printed.item).collect();
        // Graces take no part in what binds the notes in time.
        let in_time: Vec<usize> = (0..items.len()).filter(|&index| items[index].length > Ticks::ZERO).collect();
        let bound: Vec<Item> = in_time.iter().map(|&index| items[index]).collect();
        let (brackets, beams) = (grouping::brackets(&bound), grouping::beams(&bound, &self.bar.meter));
        let mut binding: HashMap<usize, (Bracket, &[Beam])> = HashMap::new();
        for (place, &index) in in_time.iter().enumerate() {
            binding.insert(index, (brackets[place], &beams[place]));
        }
        for (index, printed) in printed.iter().enumerate() {
            let (bracket, beams) = binding.get(&index).copied().unwrap_or((Bracket::default(), &[]));
            match printed.chord {
                None if voice > 0 => {
                    let duration = self.duration(&printed.item);
                    out.push_str(&format!("<forward><duration>{duration}</duration>{}</forward>\n", self.tail(number)));
                }
                None => self.rest(printed, number, bracket, out),
                Some(chord) => {
                    for place in 0..chord.notes.len() {
                        let element = NoteElement { staff: self, printed, chord, place, number, bracket, beams };
                        element.write(accidentals, out);
                    }
                }
            }
        }
    }

    /// The voice with its gaps filled and every chord as note values. Gaps show as rests only in a staff's first voice.
    fn printed<'a>(&self, chords: &'a [Chord<'a>], voice: usize) -> Vec<Printed<'a>> {
        let (shift, end) = (self.bar.anacrusis, self.bar.length);
        let meter: &Meter = &self.bar.meter;
        let mut printed: Vec<Printed<'a>> = Vec::new();
        let mut at = Ticks::ZERO;
        let gap = |from: Ticks, to: Ticks, printed: &mut Vec<Printed<'a>>| {
            let mut onset = from + shift;
            let pieces = if voice == 0 {
                rests(from + shift, to + shift, meter)
            } else {
                vec![(to - from, NoteValue::of(to - from))]
            };
            for (length, value) in pieces {
                let item = Item { onset, length, value, sounds: Sounds::Rest };
                printed.push(Printed { item, chord: None, joined: (Joined::No, Joined::No) });
                onset += length;
            }
        };
        for chord in chords {
            if chord.onset > at {
                gap(at, chord.onset, &mut printed);
            }
            let mut onset = chord.onset + shift;
            // What reaches past the bar is cut; the writer has warned of it.
            let pieces = joined_values(chord.length.min(end - chord.onset));
            if pieces.is_empty() {
                let item = Item { onset, length: Ticks::ZERO, value: None, sounds: Sounds::Note };
                printed.push(Printed { item, chord: Some(chord), joined: (Joined::No, Joined::No) });
            }
            let last = pieces.len().saturating_sub(1);
            for (piece, (length, value)) in pieces.into_iter().enumerate() {
                let item = Item { onset, length, value, sounds: Sounds::Note };
                let joined = |here: bool| if here { Joined::Yes } else { Joined::No };
                printed.push(Printed { item, chord: Some(chord), joined: (joined(piece > 0), joined(piece < last)) });
                onset += length;
            }
            at = at.max(chord.onset + chord.length);
        }
        if at < end {
            gap(at, end, &mut printed);
        }
        printed
    }

    fn rest(&self, printed: &Printed<'_>, number: usize, bracket: Bracket, out: &mut String) {
        let duration = self.duration(&printed.item);
        out.push_str(&format!("<note><rest/><duration>{duration}</duration><voice>{number}</voice>"));
        value(printed.item.value, out);
        ratio(printed.item.value, out);
        out.push_str(&format!("<staff>{}</staff>", self.number));
        // Items count from the beginning of a whole bar, fermatas from that of this one.
        let hold = self.hold_at(printed.item.onset - self.bar.anacrusis);
        out.push_str(&notations(&(tuplet(bracket) + hold)));
        out.push_str("</note>\n");
    }
}

/// The notations of a note or rest, if it has any.
fn notations(content: &str) -> String {
    if content.is_empty() { String::new() } else { format!("<notations>{content}</notations>") }
}

fn value(value: Option<NoteValue>, out: &mut String) {
    if let Some(value) = value {
        out.push_str(&format!("<type>{}</type>{}", value.name(), "<dot/>".repeat(usize::from(value.dots))));
    }
}

fn ratio(value: Option<NoteValue>, out: &mut String) {
    if let Some(tuplet) = value.and_then(|value| value.tuplet) {
        out.push_str(&format!(
            "<time-modification><actual-notes>{}</actual-notes><normal-notes>{}</normal-notes></time-modification>",
            tuplet.actual, tuplet.normal
        ));
    }
}

fn tuplet(bracket: Bracket) -> String {
    let element = |kind: &str| format!("<tuplet type=\"{kind}\"/>");
    let starts = bracket.starts.map(|_| element("start")).unwrap_or_default();
    starts + &bracket.stops.map(|_| element("stop")).unwrap_or_default()
}

/// One note of a chord.
struct NoteElement<'a> {
    staff: &'a StaffBar<'a>,
    printed: &'a Printed<'a>,
    chord: &'a Chord<'a>,
    /// Which of the chord's notes.
    place: usize,
    /// The voice's number.
    number: usize,
    bracket: Bracket,
    beams: &'a [Beam],
}

impl NoteElement<'_> {
    fn write(&self, accidentals: &HashMap<NoteRef, &'static str>, out: &mut String) {
        let (reference, note) = self.chord.notes[self.place];
        let (before, after) = self.printed.joined;
        let first_piece = before == Joined::No;
        let is_grace = self.printed.item.length == Ticks::ZERO;
        let is_cue = self.staff.size == NoteSize::Cue;
        if first_piece && !is_cue {
            out.push_str(&format!("<note id=\"{}\">", super::note_id(reference)));
        } else {
            out.push_str("<note>");
        }
        if is_cue && !is_grace {
            out.push_str("<cue/>");
        }
        if is_grace {
            let alone = matches!(note.kind, NoteKind::Grace(0));
            out.push_str(if alone { "<grace slash=\"yes\"/>" } else { "<grace/>" });
        }
        if self.place > 0 {
            out.push_str("<chord/>");
        }
        let pitch = note.pitch;
        out.push_str(&format!("<pitch><step>{}</step>", pitch.letter()));
        if pitch.alter() != 0 {
            out.push_str(&format!("<alter>{}</alter>", pitch.alter()));
        }
        out.push_str(&format!("<octave>{}</octave></pitch>", pitch.octave()));
        if !is_grace {
            out.push_str(&format!("<duration>{}</duration>", self.staff.duration(&self.printed.item)));
        }
        let stops = matches!(note.tie, Tie::Stop | Tie::Continue) || before == Joined::Yes;
        let starts = matches!(note.tie, Tie::Start | Tie::Continue) || after == Joined::Yes;
        for (applies, kind) in [(stops, "stop"), (starts, "start")] {
            // A cue sounds nothing, so it has no ties that sound.
            if applies && !is_cue {
                out.push_str(&format!("<tie type=\"{kind}\"/>"));
            }
        }
        out.push_str(&format!("<voice>{}</voice>", self.number));
        if is_grace {
            out.push_str("<type>eighth</type>");
        } else {
            value(self.printed.item.value, out);
        }
        if let Some(accidental) = accidentals.get(&reference).filter(|_| first_piece) {
            out.push_str(&format!("<accidental>{accidental}</accidental>"));
        }
        ratio(self.printed.item.value, out);
        out.push_str(&format!("<staff>{}</staff>", self.staff.number));
        if self.place == 0 {
            for (level, beam) in self.beams.iter().enumerate() {
                out.push_str(&format!("<beam number=\"{}\">{beam}</beam>", level + 1));
            }
        }
        out.push_str(&notations(&self.notations(reference, note, (stops, starts), first_piece)));
        out.push_str("</note>\n");
    }

    fn notations(&self, reference: NoteRef, note: &Note, (stops, starts): (bool, bool), first_piece: bool) -> String {
        let mut notations = String::new();
        for (applies, kind) in [(stops, "stop"), (starts, "start"), (note.rings_on && !starts, "let-ring")] {
            if applies {
                notations.push_str(&format!("<tied type=\"{kind}\"/>"));
            }
        }
        if self.place == 0 {
            notations.push_str(&tuplet(self.bracket));
        }
        if !first_piece {
            return notations;
        }
        notations.push_str(self.staff.glissandi.at(reference));
        notations.push_str(&technical(note));
        match note.roll {
            Some(Roll::Up) => notations.push_str("<arpeggiate/>"),
            Some(Roll::Down) => notations.push_str("<arpeggiate direction=\"down\"/>"),
            None => {}
        }
        // One fermata holds the whole chord.
        if self.place == 0 && self.chord.notes.iter().any(|(_, note)| note.held) {
            notations.push_str("<fermata/>");
        }
        notations
    }
}

/// The fingers, the first of which plays and the others take its place, and the harmonic.
fn technical(note: &Note) -> String {
    let mut content = String::new();
    for (place, finger) in note.fingers.iter().enumerate() {
        let takes_over = if place > 0 { " substitution=\"yes\"" } else { "" };
        content += &format!("<fingering{takes_over}>{}</fingering>", finger.get());
    }
    if note.harmonic.is_some() {
        content += "<harmonic><natural/></harmonic>";
    }
    if content.is_empty() { content } else { format!("<technical>{content}</technical>") }
}
