//! One voice while it is read: lengths, accidentals, ties, tuplets and bars.

use crate::{Said, said};
use leverlane_core::pitch::Letter;
use leverlane_core::score::{Finger, Roll, Tie};
use leverlane_core::time::Tempo;

use super::accidentals::{Accidental, Accidentals, Propagation};
use super::fields::{MeterField, Properties, Register};
use super::fraction::Fraction;
use super::key::Signature;
use super::lexer::{BarSign, Multiplier};
use super::measure::{BarMarks, Event, Head, Measure};
use super::source::{Fault, Place};
use super::ties::{OpenTie, OpenTies};

/// Fingers that can wait for one note or chord.
const MOST_FINGERS: usize = 10;

/// What stands before a note and waits for it.
#[derive(Clone, Debug, Default)]
struct Waiting {
    graces: Vec<(u8, Head)>,
    held: bool,
    roll: Option<Roll>,
    fingers: Vec<Finger>,
    broken: Option<Fraction>,
}

#[derive(Clone, Copy, Debug)]
struct Tuplet {
    left: i64,
    ratio: Fraction,
}

/// A written note before its key and accidentals are applied.
#[derive(Clone, Copy, Debug)]
pub(super) struct WrittenNote {
    pub(super) accidental: Option<i8>,
    pub(super) letter: char,
    pub(super) octaves: i32,
    pub(super) length: Multiplier,
    pub(super) place: Place,
}

/// A voice in the course of being read.
#[derive(Clone, Debug)]
pub(super) struct Voice {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) register: Option<Register>,
    pub(super) measures: Vec<Measure>,
    pub(super) meter: MeterField,
    pub(super) unit: Fraction,
    pub(super) signature: Signature,
    octaves: i32,
    semitones: i8,
    current: Measure,
    cursor: Fraction,
    layer: usize,
    /// The length of the bar's finished layers.
    layers_below: Fraction,
    accidentals: Accidentals,
    waiting: Waiting,
    tuplet: Option<Tuplet>,
    open_ties: OpenTies,
}

/// A bar's overlays are few; more would only cost memory.
const MOST_LAYERS: usize = 16;

fn uncountable(place: Place) -> Fault {
    Fault::malformed(
        place,
        said!("a length of nothing, or too long or too finely divided"),
        said!("a length that can be counted"),
        said!("correct the length"),
    )
}

impl Voice {
    pub(super) fn new(id: &str, meter: MeterField, unit: Fraction, signature: Signature) -> Voice {
        let current = Measure {
            events: Vec::new(),
            length: Fraction::ZERO,
            meter: meter.clone(),
            signature,
            semitones: 0,
            tempos: Vec::new(),
            marks: BarMarks::default(),
        };
        Voice {
            id: id.to_owned(),
            name: String::new(),
            register: None,
            measures: Vec::new(),
            meter,
            unit,
            signature,
            octaves: 0,
            semitones: 0,
            current,
            cursor: Fraction::ZERO,
            layer: 0,
            layers_below: Fraction::ZERO,
            accidentals: Accidentals::default(),
            waiting: Waiting::default(),
            tuplet: None,
            open_ties: OpenTies::default(),
        }
    }

    /// The bar being read, by its place in the voice.
    pub(super) fn bar(&self) -> usize {
        self.measures.len()
    }

    pub(super) fn marks(&mut self) -> &mut BarMarks {
        &mut self.current.marks
    }

    /// How long the bar being read is so far.
    pub(super) fn length_so_far(&self) -> Fraction {
        self.current.length
    }

    pub(super) fn has_begun_bar(&self) -> bool {
        !self.current.events.is_empty()
    }

    pub(super) fn apply(&mut self, properties: Properties) {
        if let Some(name) = properties.name {
            self.name = name;
        }
        if properties.register.is_some() {
            self.register = properties.register;
        }
        if let Some(octaves) = properties.octaves {
            self.octaves = i32::from(octaves);
        }
        if let Some(semitones) = properties.semitones {
            self.semitones = semitones;
        }
        self.begin_with_state();
    }

    /// What the key field says of all voices, where a voice says nothing itself.
    pub(super) fn apply_beneath(&mut self, mut properties: Properties) {
        properties.register = self.register.or(properties.register);
        properties.octaves = properties.octaves.filter(|_| self.octaves == 0);
        properties.semitones = properties.semitones.filter(|_| self.semitones == 0);
        properties.name = None;
        self.apply(properties);
    }

    pub(super) fn set_meter(&mut self, meter: MeterField) {
        self.meter = meter;
        self.begin_with_state();
    }

    pub(super) fn set_signature(&mut self, signature: Signature) {
        self.signature = signature;
        self.begin_with_state();
    }

    /// A bar takes what is in force when its first note comes.
    fn begin_with_state(&mut self) {
        if !self.has_begun_bar() {
            self.current.meter = self.meter.clone();
            self.current.signature = self.signature;
            self.current.semitones = self.semitones;
        }
    }

    pub(super) fn add_tempo(&mut self, tempo: Tempo) {
        self.current.tempos.push((self.cursor, tempo));
    }

    pub(super) fn hold_next(&mut self) {
        self.waiting.held = true;
    }

    /// A hand has no more fingers than a chord can ask for.
    pub(super) fn finger_next(&mut self, finger: Finger) {
        if self.waiting.fingers.len() < MOST_FINGERS {
            self.waiting.fingers.push(finger);
        }
    }

    pub(super) fn roll_next(&mut self) {
        self.waiting.roll = Some(Roll::Up);
    }

    /// Begins a tuplet; false where an earlier one is still short of notes.
    pub(super) fn begin_tuplet(&mut self, notes: i64, ratio: Fraction) -> bool {
        let complete = self.tuplet.is_none_or(|tuplet| tuplet.left <= 0);
        self.tuplet = Some(Tuplet { left: notes, ratio });
        complete
    }

    /// The pitch of a written note, by its own accidental, else the bar's, else the key's; the second value says
    /// whether an accidental of another octave was carried to it.
    fn head(&mut self, note: WrittenNote, length: Fraction, propagation: Propagation) -> Option<(Head, bool)> {
        let letter = Letter::from_char(note.letter)?;
        let octave = note.octaves.saturating_add(if note.letter.is_ascii_lowercase() { 5 } else { 4 });
        let octave = octave.saturating_add(self.octaves);
        let mut carried = false;
        let alter = match note.accidental {
            Some(alter) => {
                self.accidentals.write(Accidental { letter, octave, alter });
                alter
            }
            None => {
                let reaching = |propagation| self.accidentals.reaching(letter, octave, propagation);
                let of_key = self.signature.alter(letter);
                let found = reaching(propagation);
                carried = found.is_some_and(|found| {
                    let own = reaching(Propagation::Octave).map_or(of_key, |own| own.alter);
                    found.octave != octave && found.alter != own
                });
                found.map_or(of_key, |found| found.alter)
            }
        };
        Some((Head { letter, alter, octave, length, tie: Tie::None, place: note.place }, carried))
    }

    fn length_of(&self, multiplier: Multiplier, place: Place) -> Result<Fraction, Fault> {
        Fraction::new(multiplier.above, multiplier.below)
            .and_then(|times| self.unit.times(times))
            .filter(|length| !length.is_zero())
            .ok_or_else(|| uncountable(place))
    }

    /// Grace notes, waiting for what they lead to.
    pub(super) fn add_grace(&mut self, note: WrittenNote, place_in_row: u8, propagation: Propagation) -> bool {
        let Some((head, carried)) = self.head(note, Fraction::ZERO, propagation) else { return false };
        self.waiting.graces.push((place_in_row, head));
        carried
    }

    /// How many graces wait, to go on counting from.
    pub(super) fn waiting_graces(&self) -> u8 {
        self.waiting.graces.last().map_or(0, |&(place, _)| place.saturating_add(1)).min(u8::MAX - 1)
    }

    /// Notes that begin together, or a rest where there are none. `chord` is the length after a chord's bracket.
    ///
    /// # Errors
    /// Lengths that can't be counted.
    pub(super) fn add_event(
        &mut self,
        notes: &[WrittenNote],
        tied: &[bool],
        chord: Multiplier,
        place: Place,
        propagation: Propagation,
    ) -> Result<EventOutcome, Fault> {
        let mut factor = self.waiting.broken.take().unwrap_or(Fraction::ONE);
        if let Some(tuplet) = &mut self.tuplet {
            factor = factor.times(tuplet.ratio).ok_or_else(|| uncountable(place))?;
            tuplet.left -= 1;
            if tuplet.left <= 0 {
                self.tuplet = None;
            }
        }
        let chord = self.length_of(chord, place)?;
        let mut outcome = EventOutcome::default();
        let mut heads = Vec::with_capacity(notes.len());
        let ties = self.open_ties.take(self.layer, self.bar());
        let mut met = vec![false; ties.len()];
        for note in notes {
            // The chord's length multiplies the note's, both in units.
            let own = Fraction::new(note.length.above, note.length.below).and_then(|own| chord.times(own));
            let length = own
                .and_then(|length| length.times(factor))
                .filter(|length| !length.is_zero())
                .ok_or_else(|| uncountable(note.place))?;
            let Some((mut head, carried)) = self.head(*note, length, propagation) else { continue };
            let from = ties.iter().position(|tie| {
                (tie.letter, tie.octave) == (head.letter, head.octave)
                    && note.accidental.is_none_or(|alter| alter == tie.alter)
            });
            outcome.carried |= carried && from.is_none();
            if let Some(index) = from {
                met[index] = true;
                // A tie over the bar line carries the accidental with it (common practice).
                head.alter = ties[index].alter;
                head.tie = Tie::Stop;
            }
            heads.push(head);
        }
        let length = match heads.first() {
            Some(first) => first.length,
            None => chord.times(factor).ok_or_else(|| uncountable(place))?,
        };
        self.begin_with_state();
        for (tie, _) in ties.iter().zip(&met).filter(|&(_, &met)| met) {
            if let Some(head) = self.head_of_tie(tie) {
                head.tie = match head.tie {
                    Tie::None | Tie::Start => Tie::Start,
                    Tie::Stop | Tie::Continue => Tie::Continue,
                };
            }
        }
        outcome.lost_tie = met.contains(&false);
        let waiting = std::mem::take(&mut self.waiting);
        self.current.events.push(Event {
            onset: self.cursor,
            length,
            heads,
            graces: waiting.graces,
            held: waiting.held,
            roll: waiting.roll,
            fingers: waiting.fingers,
            layer: self.layer,
        });
        self.cursor = self.cursor.plus(length).ok_or_else(|| uncountable(place))?;
        self.current.length = self.current.length.max(self.cursor);
        for (head, _) in tied.iter().enumerate().filter(|&(_, &tied)| tied) {
            self.open_tie(Some(head));
        }
        Ok(outcome)
    }

    fn head_of_tie(&mut self, tie: &OpenTie) -> Option<&mut Head> {
        let measure =
            if tie.measure == self.measures.len() { &mut self.current } else { self.measures.get_mut(tie.measure)? };
        measure.events.get_mut(tie.event)?.heads.get_mut(tie.head)
    }

    /// Ties a head of the last event, or all of them, to what comes. False where there is nothing to tie.
    pub(super) fn open_tie(&mut self, head: Option<usize>) -> bool {
        let in_current = self.current.events.last().is_some_and(|event| event.layer == self.layer);
        let (measure, event) = if in_current {
            (self.bar(), self.current.events.len() - 1)
        } else if let Some(last) = self.measures.last()
            && self.current.events.is_empty()
        {
            // "A|-A": the tie stands after the bar line.
            (self.bar() - 1, last.events.len().saturating_sub(1))
        } else {
            return false;
        };
        let measures = if measure == self.bar() { &self.current } else { &self.measures[measure] };
        let Some(heads) = measures.events.get(event).map(|event| &event.heads) else { return false };
        let chosen = heads.iter().enumerate().filter(|&(index, _)| head.is_none_or(|head| head == index));
        let ties: Vec<OpenTie> = chosen
            .map(|(head, h)| OpenTie { letter: h.letter, octave: h.octave, alter: h.alter, measure, event, head })
            .collect();
        let any = !ties.is_empty();
        ties.into_iter().for_each(|tie| self.open_ties.open(self.layer, tie));
        any
    }

    /// `>` lengthens the note before and shortens the next, `<` the reverse (ABC 2.1 §4.4). False where no note stands
    /// before it in the bar.
    ///
    /// # Errors
    /// More signs than anyone writes.
    pub(super) fn break_rhythm(&mut self, signs: i32, place: Place) -> Result<bool, Fault> {
        let count = signs.unsigned_abs();
        if count > 6 {
            let remedy = said!("write the lengths out");
            return Err(Fault::malformed(
                place,
                said!("{count} broken-rhythm signs", count),
                said!("at most {most}", most = 6),
                remedy,
            ));
        }
        let short = Fraction::new(1, 1 << count);
        let long = Fraction::new((2 << count) - 1, 1 << count);
        let (before, after) = if signs > 0 { (long, short) } else { (short, long) };
        let (Some(before), Some(after)) = (before, after) else { return Err(uncountable(place)) };
        let Some(last) = self.current.events.last_mut().filter(|event| event.layer == self.layer) else {
            return Ok(false);
        };
        let scaled = |length: Fraction| length.times(before).ok_or_else(|| uncountable(place));
        last.length = scaled(last.length)?;
        for head in &mut last.heads {
            head.length = scaled(head.length)?;
        }
        self.cursor = last.onset.plus(last.length).ok_or_else(|| uncountable(place))?;
        self.current.length = self.layers_below.max(self.cursor);
        self.waiting.broken = Some(after);
        Ok(true)
    }

    /// Back to the start of the bar for one more layer. False where there are too many.
    pub(super) fn overlay(&mut self) -> bool {
        self.layer += 1;
        self.layers_below = self.current.length;
        self.cursor = Fraction::ZERO;
        self.accidentals.clear();
        self.layer < MOST_LAYERS
    }

    /// A bar line.
    pub(super) fn bar_line(&mut self, sign: BarSign) {
        let at_end = if self.has_begun_bar() {
            self.finish_bar();
            self.measures.last_mut()
        } else {
            self.measures.last_mut()
        };
        if let Some(before) = at_end {
            let marks = &mut before.marks;
            marks.closes_repeat = marks.closes_repeat.max(sign.repeats_before);
            marks.ends_section |= sign.ends_section;
        }
        let marks = &mut self.current.marks;
        marks.opens_repeat = marks.opens_repeat.max(sign.repeats_after);
        self.accidentals.clear();
        if sign.repeats_before > 0 && sign.repeats_after > 0 || sign.ends_section {
            self.open_ties.leave_endings();
        }
    }

    /// Ends the bar being read, if anything stands in it.
    pub(super) fn finish_bar(&mut self) {
        if !self.has_begun_bar() {
            return;
        }
        let next = Measure {
            events: Vec::new(),
            length: Fraction::ZERO,
            meter: self.meter.clone(),
            signature: self.signature,
            semitones: self.semitones,
            tempos: Vec::new(),
            marks: BarMarks::default(),
        };
        self.measures.push(std::mem::replace(&mut self.current, next));
        self.cursor = Fraction::ZERO;
        self.layer = 0;
        self.layers_below = Fraction::ZERO;
        self.accidentals.clear();
    }

    /// An ending begins.
    pub(super) fn begin_ending(&mut self, passes: Vec<u8>) {
        self.finish_bar();
        self.open_ties.begin_ending();
        self.current.marks.ending = Some(passes);
    }

    /// What waits for a note that never comes: graces, or a broken-rhythm sign.
    pub(super) fn leftover(&self) -> Option<Said> {
        if !self.waiting.graces.is_empty() {
            Some(said!("grace notes that lead to no note were left out"))
        } else if self.waiting.broken.is_some() {
            Some(said!("a broken-rhythm sign has no note after it"))
        } else if self.tuplet.is_some_and(|tuplet| tuplet.left > 0) {
            Some(said!("a tuplet has fewer notes than it says"))
        } else {
            None
        }
    }
}

/// What happened to an event besides being added.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct EventOutcome {
    /// A tie led to no note of its pitch.
    pub(super) lost_tie: bool,
    /// An accidental came from another octave.
    pub(super) carried: bool,
}
