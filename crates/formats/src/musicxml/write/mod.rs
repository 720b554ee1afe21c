//! Writing MusicXML 4.0 from our own model: the harp's two hands on two staves, every other part on a part of its own.
//!
//! What is written: notes with chords, ties, tuplets, beams by the counted beats, graces, rolls, harmonics, fingers,
//! fermatas (over rests and bar lines too), glissandi and accidentals as the bar needs them; placing brackets over the harp's
//! notes; a cue line; key, meter and tempo; repeats, endings and jumps; lever marks and the list of set levers. Pitches are
//! written as they sound, so no part transposes. Each note but those of the cue line carries an id ([`note_id`]).
//!
//! Not written, since the model doesn't have it: dynamics, slurs, text, clef changes, and the layout of whatever file the
//! music came from.

mod accidentals;
mod beside;
mod glissandi;
mod grouping;
mod staff;
mod values;
mod voices;
pub(super) mod xml;

use std::fmt::Write as _;
use std::ops::Range;

use leverlane_core::plan::{FlipMark, StartList};
use leverlane_core::score::{Bar, BarIndex, Ending, Hand, Hands, JumpTarget, Note, NoteRef, Score};
use leverlane_core::time::{Tempo, Ticks};

use self::glissandi::Glissandi;
use self::staff::{NoteSize, StaffBar};
use self::xml::escaped;
use super::mark_elements;
use super::quarters::Quarters;
use crate::{Warning, said};

/// What is to be written.
#[derive(Clone, Debug)]
pub struct MusicXmlSource<'a> {
    /// The written music.
    pub score: &'a Score,
    /// Which notes are the harp's, and in which hand: right on the upper staff, left on the lower.
    pub hands: &'a Hands,
    /// What another player sounds, to be written small on a part of its own above the harp.
    pub cues: &'a [Note],
    /// Which bars, by their index; bars that the score doesn't have are passed over.
    pub bars: Range<usize>,
    /// The flips to write on their beats; those of other bars are passed over.
    pub marks: &'a [FlipMark],
    /// The levers to list at the head, if wanted.
    pub start: Option<&'a StartList>,
    /// Whether the parts that the harp doesn't play are written too.
    pub others: OtherParts,
}

/// What becomes of parts that the harp doesn't play.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OtherParts {
    /// Each on a part of its own, above the harp.
    Kept,
    /// Only the harp is written.
    LeftOut,
}

/// A MusicXML document, and what it could not say exactly.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MusicXmlFile {
    /// The document, in UTF-8.
    pub text: String,
    /// Notes that were bent.
    pub warnings: Vec<Warning>,
}

/// The id of a note's element, by its place in the score: `n0-17`. Where one note is printed as several joined by ties,
/// the first has it.
pub fn note_id(note: NoteRef) -> String {
    format!("n{}-{}", note.part, note.note)
}

/// The note that an id of [`note_id`]'s making names.
pub fn note_of_id(id: &str) -> Option<NoteRef> {
    let (part, note) = id.strip_prefix('n')?.split_once('-')?;
    Some(NoteRef { part: part.parse().ok()?, note: note.parse().ok()? })
}

/// The id of a bar's element, by its index: `b12`.
pub fn bar_id(bar: usize) -> String {
    format!("b{bar}")
}

/// Writes a score. Never fails: notes that reach past their bar are cut there, and a warning says so.
pub fn write_musicxml(source: &MusicXmlSource<'_>) -> MusicXmlFile {
    let mut warnings = Vec::new();
    let parts = parts(source, &mut warnings);
    let divisions = divisions(source, &parts);
    let mut text = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<score-partwise version=\"4.0\">\n");
    if !source.score.title().is_empty() {
        let title = escaped(source.score.title());
        text += &format!("<work><work-title>{title}</work-title></work>\n");
    }
    text += "<part-list>\n";
    for (index, part) in parts.iter().enumerate() {
        let name = escaped(&part.name);
        // The harp by itself, or under a cue line, needs no name beside its staves.
        let print = if parts.len() == 1 || part.name.is_empty() || source.others == OtherParts::LeftOut {
            " print-object=\"no\""
        } else {
            ""
        };
        let id = index + 1;
        text += &format!("<score-part id=\"P{id}\"><part-name{print}>{name}</part-name></score-part>\n");
    }
    text += "</part-list>\n";
    for (index, part) in parts.iter().enumerate() {
        text += &format!("<part id=\"P{}\">\n", index + 1);
        let glissandi = Glissandi::within(&source.bars, &part.staves, &mut warnings);
        let writer = PartWriter { source, part, glissandi, divisions, leads: index == 0 };
        writer.write(&mut text);
        text += "</part>\n";
    }
    text += "</score-partwise>\n";
    MusicXmlFile { text, warnings }
}

/// A part to write: for each staff and bar its notes.
struct PartToWrite<'a> {
    name: String,
    staves: Vec<Vec<Vec<(NoteRef, &'a Note)>>>,
    kind: PartKind,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum PartKind {
    Harp,
    CueLine,
    Other,
}

/// The other parts, the cue line, then the harp.
fn parts<'a>(source: &MusicXmlSource<'a>, warnings: &mut Vec<Warning>) -> Vec<PartToWrite<'a>> {
    let bars = source.score.bars().len();
    let empty = |name: &str, staves: usize, kind| PartToWrite {
        name: name.to_owned(),
        staves: vec![vec![Vec::new(); bars]; staves],
        kind,
    };
    let mut harp = empty("Harp", 2, PartKind::Harp);
    let mut others: Vec<PartToWrite<'a>> = Vec::new();
    for (index, part) in source.score.parts().iter().enumerate() {
        let mut other = empty(&part.name, usize::from(part.staves.max(1)), PartKind::Other);
        let mut has_notes = false;
        for (place, note) in part.notes.iter().enumerate() {
            let reference = NoteRef { part: index, note: place };
            let bar = note.bar.get();
            if source.score.bar(note.bar).is_some_and(|bar| note.onset + note.length > bar.length) {
                warnings.push(Warning {
                    bar: Some(note.bar),
                    reason: said!("a note goes on past its bar and is cut there"),
                });
            }
            match source.hands.of(reference) {
                Some(Hand::Right) => harp.staves[0][bar].push((reference, note)),
                Some(Hand::Left) => harp.staves[1][bar].push((reference, note)),
                None => {
                    has_notes = true;
                    let staff = usize::from(note.staff.max(1)) - 1;
                    let last = other.staves.len() - 1;
                    other.staves[staff.min(last)][bar].push((reference, note));
                }
            }
        }
        if has_notes && source.others == OtherParts::Kept {
            others.push(other);
        }
    }
    if !source.cues.is_empty() {
        let mut line = empty("", 1, PartKind::CueLine);
        // Cue notes are no notes of a part: what they are called tells only one from another.
        let part = source.score.parts().len();
        for (place, note) in source.cues.iter().enumerate().filter(|(_, note)| note.bar.get() < bars) {
            line.staves[0][note.bar.get()].push((NoteRef { part, note: place }, note));
        }
        others.push(line);
    }
    others.push(harp);
    others
}

/// The fewest divisions of a quarter in which every place and length is a whole number.
fn divisions(source: &MusicXmlSource<'_>, parts: &[PartToWrite<'_>]) -> i64 {
    let of_notes = parts.iter().flat_map(|part| part.staves.iter().flatten().flatten());
    let of_notes = of_notes.flat_map(|(_, note)| [note.onset, note.length]);
    let of_bars = source.score.bars().iter().flat_map(|bar| {
        // Beats and their parts, for the rests between notes.
        let beats = bar.meter.beats(leverlane_core::meter::Counting::Beats);
        beats.into_iter().chain([bar.length, bar.anacrusis])
    });
    let brackets = source.score.markings().brackets.iter();
    let of_brackets = brackets.flat_map(|bracket| [bracket.begins.1, bracket.ends.1]);
    let common = of_notes
        .chain(of_bars)
        .chain(of_brackets)
        .fold(Ticks::PER_QUARTER, |common, length| gcd(common, length.get().abs()));
    Ticks::PER_QUARTER / common
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a.max(1) } else { gcd(b, a % b) }
}

struct PartWriter<'a> {
    source: &'a MusicXmlSource<'a>,
    part: &'a PartToWrite<'a>,
    glissandi: Glissandi,
    divisions: i64,
    /// The first part carries tempo and signs.
    leads: bool,
}

impl PartWriter<'_> {
    fn write(&self, out: &mut String) {
        let bars = self.source.score.bars();
        let range = self.source.bars.start..self.source.bars.end.min(bars.len());
        let brackets = match self.part.kind {
            PartKind::Harp => beside::brackets_of_harp(self.source.score, self.source.hands, &range),
            PartKind::CueLine | PartKind::Other => Vec::new(),
        };
        let mut before: Option<&Bar> = None;
        for index in range {
            let bar = &bars[index];
            let implicit = if bar.anacrusis > Ticks::ZERO { " implicit=\"yes\"" } else { "" };
            let id = if self.leads { format!(" id=\"{}\"", bar_id(index)) } else { String::new() };
            *out += &format!("<measure number=\"{}\"{implicit}{id}>\n", escaped(&bar.number));
            self.left_barline(bar, out);
            self.attributes(bar, before, out);
            if self.part.kind == PartKind::Harp {
                self.marks(index, before.is_none(), out);
            }
            beside::directions(&brackets, BarIndex::new(index), |at| self.divided(at), out);
            self.opening_signs(bar, out);
            let holds = match self.part.kind {
                PartKind::Harp => beside::holds_in(self.source.score, BarIndex::new(index)),
                PartKind::CueLine | PartKind::Other => Vec::new(),
            };
            for (staff, notes) in self.part.staves.iter().enumerate() {
                if staff > 0 {
                    *out += &format!("<backup><duration>{}</duration></backup>\n", self.divided(bar.length));
                }
                let number = u8::try_from(staff + 1).unwrap_or(u8::MAX);
                let size = if self.part.kind == PartKind::CueLine { NoteSize::Cue } else { NoteSize::Full };
                let (notes, holds, glissandi) = (notes[index].clone(), &holds[..], &self.glissandi);
                let staff = StaffBar { bar, notes, holds, glissandi, number, divisions: self.divisions, size };
                staff.write(out);
            }
            self.closing_signs(bar, out);
            let is_held = holds.contains(&bar.length);
            self.right_barline(bar, index + 1 == bars.len(), is_held, out);
            *out += "</measure>\n";
            before = Some(bar);
        }
    }

    fn divided(&self, length: Ticks) -> i64 {
        length.get() * self.divisions / Ticks::PER_QUARTER
    }

    fn attributes(&self, bar: &Bar, before: Option<&Bar>, out: &mut String) {
        let key = before.is_none_or(|before| before.key != bar.key);
        let meter = before.is_none_or(|before| before.meter != bar.meter);
        if !key && !meter {
            return;
        }
        *out += "<attributes>";
        if before.is_none() {
            *out += &format!("<divisions>{}</divisions>", self.divisions);
        }
        if key {
            *out += &format!("<key><fifths>{}</fifths></key>", bar.key.fifths());
        }
        if meter {
            let groups: Vec<String> = bar.meter.groups().iter().map(u8::to_string).collect();
            let (beats, unit) = (groups.join("+"), bar.meter.unit());
            *out += &format!("<time><beats>{beats}</beats><beat-type>{unit}</beat-type></time>");
        }
        if before.is_none() {
            *out += &format!("<staves>{}</staves>", self.part.staves.len());
            for (index, notes) in self.part.staves.iter().enumerate() {
                let (sign, line) = self.clef(index, notes);
                *out += &format!("<clef number=\"{}\"><sign>{sign}</sign><line>{line}</line></clef>", index + 1);
            }
        }
        *out += "</attributes>\n";
    }

    /// Treble where the staff's middle note is at least middle C, else bass; an empty lower staff is in the bass.
    fn clef(&self, staff: usize, bars: &[Vec<(NoteRef, &Note)>]) -> (&'static str, u8) {
        let mut heights: Vec<u8> = bars.iter().flatten().map(|(_, note)| note.pitch.midi().get()).collect();
        heights.sort_unstable();
        let middle_c = 60;
        let high = heights.get(heights.len() / 2).map_or(staff == 0, |&middle| middle >= middle_c);
        if high { ("G", 2) } else { ("F", 4) }
    }

    fn marks(&self, bar: usize, first: bool, out: &mut String) {
        if let Some(start) = self.source.start.filter(|_| first) {
            *out += &mark_elements::start_list(start, Some(1));
            *out += "\n";
        }
        for mark in self.source.marks.iter().filter(|mark| mark.bar.get() == bar) {
            let staff = if mark.hand == Hand::Right { 1 } else { 2 };
            *out += &mark_elements::flip(mark, Some(staff), Quarters::whole(self.divisions));
            *out += "\n";
        }
    }

    fn opening_signs(&self, bar: &Bar, out: &mut String) {
        if !self.leads {
            return;
        }
        for mark in &bar.tempo_marks {
            *out += &tempo(mark.tempo, self.divided(mark.at));
        }
        for (name, kind) in [(&bar.navigation.segno, "segno"), (&bar.navigation.coda, "coda")] {
            if let Some(name) = name {
                *out += &format!(
                    "<direction placement=\"above\"><direction-type><{kind}/></direction-type>\
                     <sound {kind}=\"{}\"/></direction>\n",
                    escaped(name)
                );
            }
        }
    }

    fn closing_signs(&self, bar: &Bar, out: &mut String) {
        if !self.leads {
            return;
        }
        let time_only = |passes: &[u8]| {
            if passes.is_empty() { String::new() } else { format!(" time-only=\"{}\"", numbers(passes)) }
        };
        let mut sign = |words: &str, sound: String| {
            *out += &format!(
                "<direction placement=\"above\"><direction-type><words>{words}</words></direction-type>\
                 <sound {sound}/></direction>\n"
            );
        };
        if let Some(to_coda) = &bar.navigation.to_coda {
            sign("To Coda", format!("tocoda=\"{}\"{}", escaped(&to_coda.coda), time_only(&to_coda.passes)));
        }
        if let Some(jump) = &bar.navigation.jump {
            match &jump.target {
                JumpTarget::DaCapo => sign("D.C.", format!("dacapo=\"yes\"{}", time_only(&jump.passes))),
                JumpTarget::DalSegno(name) => {
                    sign("D.S.", format!("dalsegno=\"{}\"{}", escaped(name), time_only(&jump.passes)));
                }
            }
        }
        if bar.navigation.fine {
            sign("Fine", "fine=\"yes\"".to_owned());
        }
    }

    fn left_barline(&self, bar: &Bar, out: &mut String) {
        let starts = bar.navigation.ending.as_ref().filter(|ending| ending.starts);
        if !bar.navigation.repeat_start && starts.is_none() {
            return;
        }
        *out += "<barline location=\"left\">";
        if bar.navigation.repeat_start {
            *out += "<bar-style>heavy-light</bar-style>";
        }
        if let Some(ending) = starts {
            *out += &ending_element(ending, "start");
        }
        if bar.navigation.repeat_start {
            *out += "<repeat direction=\"forward\"/>";
        }
        *out += "</barline>\n";
    }

    fn right_barline(&self, bar: &Bar, last: bool, is_held: bool, out: &mut String) {
        let stops = bar.navigation.ending.as_ref().filter(|ending| ending.stops);
        let repeat = bar.navigation.repeat_end;
        if stops.is_none() && repeat.is_none() && !last && !is_held {
            return;
        }
        *out += "<barline location=\"right\">";
        if repeat.is_some() || last {
            *out += "<bar-style>light-heavy</bar-style>";
        }
        if is_held {
            *out += "<fermata/>";
        }
        if let Some(ending) = stops {
            *out += &ending_element(ending, "stop");
        }
        if let Some(repeat) = repeat {
            *out += "<repeat direction=\"backward\"";
            if repeat.times != 2 {
                let _ = write!(out, " times=\"{}\"", repeat.times);
            }
            if repeat.after_jump {
                *out += " after-jump=\"yes\"";
            }
            *out += "/>";
        }
        *out += "</barline>\n";
    }
}

fn numbers(passes: &[u8]) -> String {
    passes.iter().map(u8::to_string).collect::<Vec<_>>().join(",")
}

fn ending_element(ending: &Ending, kind: &str) -> String {
    // The standard wants a number; one whose passes are unknown is written as the first.
    let passes = if ending.passes.is_empty() { "1".to_owned() } else { numbers(&ending.passes) };
    format!("<ending number=\"{passes}\" type=\"{kind}\"/>")
}

/// A tempo mark, in its own unit where that is a note value, else in quarters.
fn tempo(tempo: Tempo, offset: i64) -> String {
    let named = values::NoteValue::of(tempo.beat()).filter(|value| value.tuplet.is_none());
    let (unit, dots, number) = match named {
        Some(value) => (value.name(), usize::from(value.dots), tempo.per_minute()),
        None => ("quarter", 0, tempo.quarters_per_minute()),
    };
    let shift = if offset == 0 { String::new() } else { format!("<offset sound=\"yes\">{offset}</offset>") };
    let dots = "<beat-unit-dot/>".repeat(dots);
    format!(
        "<direction placement=\"above\"><direction-type><metronome><beat-unit>{unit}</beat-unit>{dots}\
         <per-minute>{number}</per-minute></metronome></direction-type>{shift}\
         <sound tempo=\"{}\"/></direction>\n",
        tempo.quarters_per_minute()
    )
}
