//! One part, read bar by bar with a cursor that moves in exact fractions of a quarter.

use std::collections::{BTreeMap, HashMap};

use leverlane_core::meter::Meter;
use leverlane_core::pitch::{Key, SpelledPitch};
use leverlane_core::score::{BarIndex, Note, NoteKind, Part, VoiceIndex};
use leverlane_core::time::Ticks;
use roxmltree::Node;

use super::attributes::{self, Transposition};
use super::bars::BarReadings;
use super::beside::Beside;
use super::direction::{self, SignSource};
use super::document::{child_text, children, malformed, place_of, quoted, text_of};
use super::glissando::OpenGlissandi;
use super::measures::{Measure, PartSource};
use super::note::{self, Content, Harmonic, NoteElement, Span, WrittenPitch};
use super::quarters::{Quarters, Rounding};
use super::warnings::Warnings;
use crate::{Detail, ImportError, Limits, said};

/// A part as read.
#[derive(Debug)]
pub(super) struct PartReading {
    pub(super) part: Part,
    /// Notes without a pitch that were left out.
    pub(super) unpitched: usize,
    /// The meter from each bar on that states one.
    pub(super) meters: BTreeMap<usize, Meter>,
    /// The sounding key from each bar on that states one.
    pub(super) keys: BTreeMap<usize, Key>,
    /// What stands beside the notes.
    pub(super) beside: Beside,
}

/// Reads one part; what concerns the bars as such goes to `bars`.
///
/// # Errors
/// Elements that can't be read, and limits.
pub(super) fn read(
    source: &PartSource<'_, '_>,
    bars: &mut BarReadings,
    notes_so_far: usize,
    limits: &Limits,
    warnings: &mut Warnings,
) -> Result<PartReading, ImportError> {
    let part = Part { name: source.name.clone(), staves: 1, voices: Vec::new(), notes: Vec::new() };
    let (meters, keys) = (BTreeMap::new(), BTreeMap::new());
    let reading = PartReading { part, unpitched: 0, meters, keys, beside: Beside::default() };
    let mut reader = PartReader {
        reading,
        voices: HashMap::new(),
        divisions: Quarters::whole(1),
        transpositions: HashMap::new(),
        notes_left: limits.notes.saturating_sub(notes_so_far),
        longest: Quarters::whole(limits.bar_quarters),
        limits,
        bar: 0,
        cursor: Quarters::ZERO,
        chord_onset: None,
        graces: HashMap::new(),
        glissandi: OpenGlissandi::default(),
        bars,
        warnings,
    };
    for measure in &source.measures {
        reader.measure(measure)?;
    }
    reader.glissandi.finish(&reader.reading.part.notes, reader.warnings);
    Ok(reader.reading)
}

/// The state of reading: what lasts through the part, then what belongs to the bar.
struct PartReader<'r> {
    reading: PartReading,
    voices: HashMap<String, VoiceIndex>,
    divisions: Quarters,
    /// By staff; 0 for all staves that have none of their own.
    transpositions: HashMap<u8, Transposition>,
    notes_left: usize,
    longest: Quarters,
    limits: &'r Limits,
    bar: usize,
    cursor: Quarters,
    /// Where the last note or rest of its own began: the onset of a `chord` note.
    chord_onset: Option<Quarters>,
    /// How many graces have come in each voice since its last note.
    graces: HashMap<VoiceIndex, u8>,
    glissandi: OpenGlissandi,
    bars: &'r mut BarReadings,
    warnings: &'r mut Warnings,
}

impl PartReader<'_> {
    fn measure(&mut self, measure: &Measure<'_, '_>) -> Result<(), ImportError> {
        self.bar = measure.index;
        self.cursor = Quarters::ZERO;
        self.chord_onset = None;
        self.graces.clear();
        self.bars.heading(measure.index, measure.heading);
        for element in measure.music.children().filter(Node::is_element) {
            match element.tag_name().name() {
                "note" => self.note(element)?,
                "backup" => self.backup(element)?,
                "forward" => {
                    let length = self.length(element)?;
                    self.advance(element, length)?;
                }
                "attributes" => self.attributes(element)?,
                "direction" => self.direction(element),
                "sound" => self.sound(element, self.cursor, SignSource::Sound),
                "barline" => {
                    let barline = direction::barline(element);
                    self.reading.beside.barline(element, barline.location, self.bar);
                    self.bars.barline(self.bar, barline, self.warnings);
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// A length in the file's divisions as quarter notes.
    fn quarters(&self, node: Node<'_, '_>, length: Quarters) -> Result<Quarters, ImportError> {
        length.divided_by(self.divisions).ok_or_else(|| {
            malformed(node, said!("a duration too finely divided to count"), said!("a common number of divisions"))
        })
    }

    fn length(&self, node: Node<'_, '_>) -> Result<Quarters, ImportError> {
        let duration = node.children().find(|part| part.has_tag_name("duration")).ok_or_else(|| {
            malformed(
                node,
                said!("a <{element}> without duration", element = node.tag_name().name()),
                said!("a <duration>"),
            )
        })?;
        self.quarters(duration, note::length(duration)?)
    }

    fn backup(&mut self, node: Node<'_, '_>) -> Result<(), ImportError> {
        let length = self.length(node)?;
        self.cursor = match self.cursor.minus(length) {
            Some(cursor) if !cursor.is_negative() => cursor,
            _ => {
                self.warnings.in_bar(self.bar, said!("a step back leads before the bar; its beginning is taken"));
                Quarters::ZERO
            }
        };
        self.chord_onset = None;
        Ok(())
    }

    fn advance(&mut self, node: Node<'_, '_>, length: Quarters) -> Result<(), ImportError> {
        self.cursor = self.end_of(node, self.cursor, length)?;
        Ok(())
    }

    /// Where something that begins at `onset` ends; the bar grows to hold it.
    fn end_of(&mut self, node: Node<'_, '_>, onset: Quarters, length: Quarters) -> Result<Quarters, ImportError> {
        let end = onset.plus(length).ok_or_else(|| {
            malformed(node, said!("a place too finely divided to count"), said!("a common number of divisions"))
        })?;
        if end > self.longest {
            return Err(ImportError::LimitReached(Detail {
                place: place_of(node),
                found: said!("a bar that goes on past the limit"),
                expected: said!("at most {most} quarter notes in a bar", most = self.limits.bar_quarters),
                remedy: said!("check the duration here, or divide the bar"),
            }));
        }
        self.bars.grow(self.bar, end);
        Ok(end)
    }

    fn note(&mut self, node: Node<'_, '_>) -> Result<(), ImportError> {
        let element = note::read(node)?;
        let chord_onset = if element.joins_chord { self.chord_onset } else { None };
        let onset = chord_onset.unwrap_or(self.cursor);
        let length = match element.span {
            Span::Timed(length) => self.quarters(node, length)?,
            Span::Grace => Quarters::ZERO,
        };
        let end = self.end_of(node, onset, length)?;
        if chord_onset.is_none() {
            if element.joins_chord {
                self.warnings
                    .in_bar(self.bar, said!("a note joins a chord that isn't there; it is read as a note of its own"));
            }
            self.cursor = end;
            self.chord_onset = Some(onset);
        }
        let voice = self.voice(element.voice);
        let kind = self.kind(&element, voice);
        match element.content {
            Content::Rest if element.held => self.reading.beside.rest_is_held(self.bar, onset),
            Content::Rest => {}
            Content::Unpitched => {
                self.reading.unpitched += 1;
                self.warnings.in_bar(self.bar, said!("notes without a pitch are left out"));
            }
            Content::Pitch(written) => self.pitched_note(node, &element, written, (onset, length), voice, kind)?,
        }
        Ok(())
    }

    fn voice(&mut self, name: &str) -> VoiceIndex {
        if let Some(&voice) = self.voices.get(name) {
            return voice;
        }
        // A part can't have so many voices that the number ends; if one claims to, they share the last.
        let names = &mut self.reading.part.voices;
        let most = usize::from(u16::MAX);
        if names.len() < most {
            names.push(name.to_owned());
        }
        let voice = VoiceIndex(u16::try_from(names.len() - 1).unwrap_or(u16::MAX));
        self.voices.insert(name.to_owned(), voice);
        voice
    }

    /// Graces of a voice are counted up to the note they lead to; those of one chord share their place.
    fn kind(&mut self, element: &NoteElement<'_>, voice: VoiceIndex) -> NoteKind {
        let graces = self.graces.entry(voice).or_insert(0);
        match element.span {
            Span::Timed(_) => {
                *graces = 0;
                NoteKind::Timed
            }
            Span::Grace => {
                if !element.joins_chord || *graces == 0 {
                    *graces = graces.saturating_add(1);
                }
                NoteKind::Grace((*graces - 1).min(u8::MAX - 1))
            }
        }
    }

    fn pitched_note(
        &mut self,
        node: Node<'_, '_>,
        element: &NoteElement<'_>,
        written: WrittenPitch,
        (onset, length): (Quarters, Quarters),
        voice: VoiceIndex,
        kind: NoteKind,
    ) -> Result<(), ImportError> {
        let Some(pitch) = self.sounding(element.staff, written) else {
            self.warnings.in_bar(self.bar, said!("a note beyond the range of pitches is left out"));
            return Ok(());
        };
        self.count_notes(node, 1)?;
        let octave = |up: i8| SpelledPitch::new(pitch.letter(), pitch.alter(), pitch.octave().saturating_add(up)).ok();
        let (pitch, harmonic) = match element.harmonic {
            Some(Harmonic::WrittenAsString) => (pitch, octave(1)),
            Some(Harmonic::WrittenAsSounding) => (octave(-1).unwrap_or(pitch), Some(pitch)),
            None => (pitch, None),
        };
        let (onset, length) = (self.ticks(node, onset)?, self.ticks(node, length)?);
        if let Some(written) = element.odd_fingering {
            self.warnings.in_bar(self.bar, said!("the fingering {written} is not kept", written = quoted(written)));
        }
        let note = Note {
            bar: BarIndex::new(self.bar),
            onset,
            length,
            pitch,
            harmonic,
            kind,
            staff: element.staff,
            voice,
            tie: element.tie,
            roll: element.roll,
            rings_on: element.rings_on,
            held: element.held,
            fingers: element.fingers.clone(),
            glissando_to: None,
        };
        if element.cue {
            self.reading.beside.cue(note);
            return Ok(());
        }
        let part = &mut self.reading.part;
        part.staves = part.staves.max(element.staff);
        part.notes.push(note);
        // A glissando counts as all the notes that it sweeps over.
        let crossed = self.glissandi.at_last_note(&mut part.notes, &element.glissandi, self.warnings);
        self.count_notes(node, crossed)
    }

    fn count_notes(&mut self, node: Node<'_, '_>, notes: usize) -> Result<(), ImportError> {
        self.notes_left = self.notes_left.checked_sub(notes).ok_or_else(|| {
            ImportError::LimitReached(Detail {
                place: place_of(node),
                found: said!("more notes than the limit"),
                expected: said!("at most {most} notes", most = self.limits.notes),
                remedy: said!("split the piece into smaller files"),
            })
        })?;
        Ok(())
    }

    fn sounding(&mut self, staff: u8, written: WrittenPitch) -> Option<SpelledPitch> {
        // Halves upward.
        let alter = (written.alter + 0.5).floor();
        if alter != written.alter {
            self.warnings.in_bar(self.bar, said!("a note between two semitones is rounded to one of them"));
        }
        let transposition = self.transpositions.get(&staff).or_else(|| self.transpositions.get(&0));
        // The reader of pitches has bounded the alteration.
        transposition.copied().unwrap_or_default().sounding(written.letter, alter as i32, written.octave)
    }

    fn ticks(&mut self, node: Node<'_, '_>, length: Quarters) -> Result<Ticks, ImportError> {
        let (ticks, rounding) = length.to_ticks().ok_or_else(|| {
            malformed(node, said!("a place or length out of range"), said!("a bar of ordinary length"))
        })?;
        if rounding == Rounding::Rounded {
            let reason = said!("places or lengths too fine to count are rounded by less than 1/100,000 of a quarter");
            self.warnings.in_bar(self.bar, reason);
        }
        Ok(ticks)
    }

    fn attributes(&mut self, node: Node<'_, '_>) -> Result<(), ImportError> {
        if let Some(divisions) = node.children().find(|part| part.has_tag_name("divisions")) {
            let text = text_of(divisions);
            self.divisions = Quarters::from_decimal(text)
                .filter(|divisions| !divisions.is_negative() && !divisions.is_zero())
                .ok_or_else(|| {
                    malformed(
                        divisions,
                        said!("{text} divisions of a quarter", text = quoted(text)),
                        said!("a number above 0"),
                    )
                })?;
        }
        if let Some(staves) = child_text(node, "staves").and_then(|staves| staves.parse::<u8>().ok()) {
            self.reading.part.staves = self.reading.part.staves.max(staves);
        }
        for transpose in children(node, "transpose") {
            let staff = transpose.attribute("number").and_then(|number| number.trim().parse().ok()).unwrap_or(0);
            if staff == 0 {
                self.transpositions.clear();
            }
            self.transpositions.insert(staff, Transposition::read(transpose));
            if transpose.children().any(|part| part.has_tag_name("double")) {
                self.warnings.in_bar(self.bar, said!("a part doubled at the octave is read without its double"));
            }
        }
        if let Some(time) = children(node, "time").next() {
            match attributes::meter(time) {
                Ok(Some(meter)) => {
                    self.reading.meters.insert(self.bar, meter);
                }
                Ok(None) => {
                    self.warnings.in_bar(self.bar, said!("music without meter: the meter before it stays for counting"))
                }
                Err(reason) => self.warnings.in_bar(self.bar, reason),
            }
        }
        if let Some(key) = children(node, "key").next() {
            match attributes::key(key) {
                Ok(key) => {
                    let transposition = self.transpositions.get(&0).copied().unwrap_or_default();
                    self.reading.keys.insert(self.bar, transposition.sounding_key(key));
                }
                Err(reason) => self.warnings.in_bar(self.bar, reason),
            }
        }
        let repeats = children(node, "measure-style").flat_map(|style| children(style, "measure-repeat"));
        if repeats.into_iter().any(|repeat| repeat.attribute("type") == Some("start")) {
            self.warnings.in_bar(self.bar, said!("signs that repeat the bar before are not written out"));
        }
        Ok(())
    }

    fn direction(&mut self, node: Node<'_, '_>) {
        let sound = children(node, "sound").next();
        // Only an offset that says so moves the sound.
        let offset = children(node, "offset").find(|offset| offset.attribute("sound") == Some("yes"));
        let at = self.shifted(offset);
        self.tempo(node, at);
        // What is only printed stands where any offset puts it.
        let printed = self.shifted(children(node, "offset").next());
        self.reading.beside.direction(node, self.bar, printed, self.warnings);
        match sound {
            Some(sound) if !direction::signs_of_sound(sound).is_empty() => self.signs(sound, at, SignSource::Sound),
            _ => self.signs(node, at, SignSource::Print),
        }
    }

    fn sound(&mut self, node: Node<'_, '_>, at: Quarters, source: SignSource) {
        let at = children(node, "offset").next().map_or(at, |offset| self.shifted(Some(offset)));
        self.tempo(node, at);
        self.signs(node, at, source);
    }

    /// The cursor, moved by an `offset` element; never before the bar.
    fn shifted(&self, offset: Option<Node<'_, '_>>) -> Quarters {
        offset
            .and_then(|offset| Quarters::from_decimal(text_of(offset)))
            .and_then(|offset| offset.divided_by(self.divisions))
            .and_then(|offset| self.cursor.plus(offset))
            .filter(|at| !at.is_negative() && *at <= self.longest)
            .unwrap_or(self.cursor)
    }

    fn tempo(&mut self, node: Node<'_, '_>, at: Quarters) {
        match direction::tempo(node) {
            Some(Ok(tempo)) => self.bars.tempo(self.bar, at, tempo),
            Some(Err(reason)) => self.warnings.in_bar(self.bar, reason),
            None => {}
        }
    }

    fn signs(&mut self, node: Node<'_, '_>, at: Quarters, source: SignSource) {
        let signs = match source {
            SignSource::Sound => direction::signs_of_sound(node),
            SignSource::Print => direction::printed_signs(node),
        };
        for sign in signs {
            self.bars.sign(self.bar, at, sign, source);
        }
    }
}
