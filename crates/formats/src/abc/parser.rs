//! A tune's lines: header, fields, music; voices filled by their tokens (ABC 2.1 §2–4, §7).

mod music;

use super::accidentals::Propagation;
use super::decorations::Symbols;
use super::fields::{self, MeterField, TempoField};
use super::fraction::Fraction;
use super::key::{Signature, parse_key};
use super::source::{Fault, Place, SourceLine};
use super::voice::Voice;
use super::warnings::Gathered;
use crate::{Limits, Said, said};
use music::Bracket;

/// A tune as read, before its voices become bars of a score.
#[derive(Debug)]
pub(super) struct Tune {
    pub(super) title: String,
    /// In the order in which they are first named; at least one.
    pub(super) voices: Vec<Voice>,
    /// What `%%score` or `%%staves` says.
    pub(super) layout: Option<String>,
    /// The order of playing that the header's `P:` gives.
    pub(super) part_order: Option<String>,
    pub(super) warnings: Gathered,
}

/// Reads a tune, its file's header lines first.
///
/// # Errors
/// The first thing that can't be read, with its place.
pub(super) fn read_tune<'a>(lines: impl Iterator<Item = SourceLine<'a>>, limits: &'a Limits) -> Result<Tune, Fault> {
    let mut parser = Parser::new(limits);
    for line in lines {
        parser.line(&line)?;
        if parser.stage == Stage::Ended {
            break;
        }
    }
    Ok(parser.finish())
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stage {
    Header,
    Body,
    /// After an empty line in the body: more music goes on with a warning, anything else ends the tune.
    AfterEmptyLine,
    Ended,
}

struct Parser<'a> {
    limits: &'a Limits,
    stage: Stage,
    title: Option<String>,
    meter: Option<MeterField>,
    unit: Option<Fraction>,
    signature: Signature,
    header_tempo: Option<(String, Place)>,
    voices: Vec<Voice>,
    voice: usize,
    /// Whether the body has named a voice yet: before that, its fields are for all.
    voice_named: bool,
    symbols: Symbols,
    propagation: Propagation,
    layout: Option<String>,
    part_order: Option<String>,
    /// The directive that ends a block of text being passed over.
    skipping_to: Option<&'static str>,
    bracket: Bracket,
    notes: usize,
    warnings: Gathered,
}

impl<'a> Parser<'a> {
    fn new(limits: &'a Limits) -> Parser<'a> {
        Parser {
            limits,
            stage: Stage::Header,
            title: None,
            meter: None,
            unit: None,
            signature: Signature::NONE,
            header_tempo: None,
            voices: Vec::new(),
            voice: 0,
            voice_named: false,
            symbols: Symbols::default(),
            propagation: Propagation::default(),
            layout: None,
            part_order: None,
            skipping_to: None,
            bracket: Bracket::None,
            notes: 0,
            warnings: Gathered::default(),
        }
    }

    fn warn(&mut self, reason: Said) {
        let bar = self.voices.get(self.voice).filter(|_| self.stage != Stage::Header).map(Voice::bar);
        self.warnings.add(bar, reason);
    }

    fn line(&mut self, line: &SourceLine<'_>) -> Result<(), Fault> {
        if let Some(directive) = line.text.trim_start().strip_prefix("%%") {
            self.directive(directive.trim());
            return Ok(());
        }
        if self.skipping_to.is_some() {
            return Ok(());
        }
        if line.text.trim().is_empty() {
            if self.stage == Stage::Body && self.voices.iter().any(|v| v.bar() > 0 || v.has_begun_bar()) {
                self.stage = Stage::AfterEmptyLine;
            }
            return Ok(());
        }
        let line = line.without_comment();
        if line.text.trim().is_empty() {
            return Ok(());
        }
        let field = field_of(&line, self.stage);
        if self.stage == Stage::AfterEmptyLine {
            if !field.is_some_and(|(letter, _)| "KLMPQV".contains(letter)) && !looks_like_music(line.text) {
                self.stage = Stage::Ended;
                return Ok(());
            }
            self.stage = Stage::Body;
            self.warn(said!("the tune goes on after an empty line: an empty line ends a tune, take it out"));
        }
        match (self.stage, field) {
            (Stage::Header, Some((letter, text))) => self.header_field(letter, &text),
            (Stage::Header, None) if line.text.contains('|') => {
                self.warn(said!("the tune has no key field (K:): read without sharps or flats"));
                self.begin_body();
                self.music(&line)
            }
            (Stage::Header, None) => {
                self.warn(said!("\"{line}\" among the tune's fields is none: left out", line = shortened(line.text)));
                Ok(())
            }
            (_, Some((letter, text))) => self.body_field(letter, &text),
            (_, None) => self.music(&line),
        }
    }

    fn directive(&mut self, text: &str) {
        let (name, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        if let Some(end) = self.skipping_to {
            if name == end {
                self.skipping_to = None;
            }
            return;
        }
        match name {
            "begintext" => self.skipping_to = Some("endtext"),
            "beginps" => self.skipping_to = Some("endps"),
            "beginsvg" => self.skipping_to = Some("endsvg"),
            "score" | "staves" => self.layout = Some(rest.to_owned()),
            "propagate-accidentals" => self.propagate(rest),
            "abc-include" | "transpose" | "shift" => {
                self.warn(said!("the directive %%{name} was not followed", name));
            }
            "MIDI" if rest.contains("transpose") => self.warn(said!("the directive %%MIDI transpose was not followed")),
            // All others are about print or about playing machines.
            _ => {}
        }
    }

    fn propagate(&mut self, how_far: &str) {
        match how_far.split('%').next().unwrap_or_default().trim() {
            "not" => self.propagation = Propagation::Not,
            "octave" => self.propagation = Propagation::Octave,
            "pitch" => self.propagation = Propagation::Pitch,
            other => {
                self.warn(said!("accidentals can't propagate to \"{other}\": left as it was", other = shortened(other)))
            }
        }
    }

    fn header_field(&mut self, letter: char, text: &SourceLine<'_>) -> Result<(), Fault> {
        match letter {
            'T' if self.title.is_none() => self.title = Some(text.text.trim().to_owned()),
            'M' => self.meter = Some(meter(text)?),
            'L' => self.unit = Some(unit(text)?),
            'Q' => self.header_tempo = Some((text.text.to_owned(), text.place(0))),
            'P' => self.part_order = Some(text.text.trim().to_owned()),
            'V' => {
                self.name_voice(text)?;
            }
            'K' => {
                let key = self.key(text)?;
                self.signature = key.signature.unwrap_or(Signature::NONE);
                self.begin_body();
                let properties = fields::parse_properties(&key.properties);
                self.voices.iter_mut().for_each(|voice| voice.apply_beneath(properties.clone()));
            }
            _ => self.field_anywhere(letter, text.text),
        }
        Ok(())
    }

    fn key(&mut self, text: &SourceLine<'_>) -> Result<super::key::KeyField, Fault> {
        let key = parse_key(text.text).map_err(|found| {
            let expected = said!("a key such as G, Bb, F#m or D dor");
            Fault::malformed(
                text.place(0),
                said!("the key \"{found}\"", found = shortened(&found)),
                expected,
                said!("correct the K: field"),
            )
        })?;
        if let Some(said) = &key.warning {
            self.warn(said.clone());
        }
        Ok(key)
    }

    fn begin_body(&mut self) {
        self.stage = Stage::Body;
        let meter = self.meter.clone().unwrap_or(MeterField::Free);
        let unit = self.unit.or_else(|| meter.default_unit()).unwrap_or(Fraction::ONE);
        if self.voices.is_empty() {
            self.voices.push(Voice::new("", meter.clone(), unit, self.signature));
        }
        for voice in &mut self.voices {
            voice.unit = unit;
            voice.set_meter(meter.clone());
            voice.set_signature(self.signature);
        }
        if let Some((text, _)) = self.header_tempo.take() {
            self.tempo(&text);
        }
    }

    fn tempo(&mut self, text: &str) {
        let unit = self.voices[self.voice].unit;
        match fields::parse_tempo(text, unit) {
            TempoField::Counted(tempo) => self.voices[self.voice].add_tempo(tempo),
            TempoField::InUnits(tempo) => {
                self.voices[self.voice].add_tempo(tempo);
                self.warn(said!(
                    "the tempo \"Q:{text}\" names no note value: counted in unit lengths",
                    text = text.trim()
                ));
            }
            TempoField::Words(words) => {
                self.warn(said!("the tempo \"{words}\" has no number", words = shortened(&words)))
            }
            TempoField::Unreadable => {
                self.warn(said!("the tempo \"Q:{text}\" can't be read", text = shortened(text.trim())))
            }
        }
    }

    /// The fields that mean the same in the header, the body and between brackets.
    fn field_anywhere(&mut self, letter: char, text: &str) {
        match letter {
            'U' => {
                let defined = self.symbols.define(text);
                if !defined {
                    self.warn(said!("\"U:{text}\" defines no symbol", text = shortened(text.trim())));
                }
            }
            'm' => self.warn(said!("macros (m:) are not expanded")),
            'I' => {
                if let Some(how_far) = text.trim().strip_prefix("propagate-accidentals") {
                    self.propagate(how_far);
                }
            }
            // Titles, sources, words, notes and symbols over the staff: nothing that a string sounds.
            _ => {}
        }
    }

    fn body_field(&mut self, letter: char, text: &SourceLine<'_>) -> Result<(), Fault> {
        // A field after the header and before any voice is named holds for every voice.
        let targets = if self.voice_named { self.voice..self.voice + 1 } else { 0..self.voices.len() };
        match letter {
            'K' => {
                let key = self.key(text)?;
                let properties = fields::parse_properties(&key.properties);
                for voice in &mut self.voices[targets] {
                    if let Some(signature) = key.signature {
                        voice.set_signature(signature);
                    }
                    voice.apply(properties.clone());
                }
            }
            'M' => {
                let meter = meter(text)?;
                self.voices[targets].iter_mut().for_each(|voice| voice.set_meter(meter.clone()));
            }
            'L' => {
                let unit = unit(text)?;
                self.voices[targets].iter_mut().for_each(|voice| voice.unit = unit);
            }
            'Q' => self.tempo(text.text),
            'V' => {
                self.voice = self.name_voice(text)?;
                self.voice_named = true;
            }
            'P' => {
                let label = text.text.trim().trim_matches('"').chars().next();
                self.voices[self.voice].finish_bar();
                self.voices[self.voice].marks().part = label;
            }
            _ => self.field_anywhere(letter, text.text),
        }
        Ok(())
    }

    /// The voice that `V:` names, made if it is new.
    fn name_voice(&mut self, line: &SourceLine<'_>) -> Result<usize, Fault> {
        let text = line.text.trim();
        let (id, properties) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        let unnamed = |voice: &Voice| voice.id.is_empty() && voice.bar() == 0 && !voice.has_begun_bar();
        let index = match self.voices.iter().position(|voice| voice.id == id) {
            Some(index) => index,
            // A body that names no voice in its header begins with one that is nobody's yet.
            None if self.voices.len() == 1 && unnamed(&self.voices[0]) => {
                self.voices[0].id = id.to_owned();
                0
            }
            None if self.voices.len() >= MOST_VOICES => {
                return Err(Fault::limit(
                    line.place(0),
                    said!("one voice more"),
                    said!("at most {most} voices", most = MOST_VOICES),
                ));
            }
            None => {
                let meter = self.meter.clone().unwrap_or(MeterField::Free);
                let unit = self.unit.or_else(|| meter.default_unit()).unwrap_or(Fraction::ONE);
                self.voices.push(Voice::new(id, meter, unit, self.signature));
                self.voices.len() - 1
            }
        };
        self.voices[index].apply(fields::parse_properties(properties));
        Ok(index)
    }

    fn finish(mut self) -> Tune {
        if self.voices.is_empty() {
            self.begin_body();
        }
        for index in 0..self.voices.len() {
            let voice = &mut self.voices[index];
            if let Some(said) = voice.leftover() {
                let bar = voice.bar();
                self.warnings.add(Some(bar), said);
            }
            voice.finish_bar();
        }
        Tune {
            title: self.title.unwrap_or_default(),
            voices: self.voices,
            layout: self.layout,
            part_order: self.part_order,
            warnings: self.warnings,
        }
    }
}

/// No harp piece has more; a file of nonsense may.
const MOST_VOICES: usize = 64;

/// A line's field letter and what follows the colon; none for a line of music. In a body, a letter that could be a
/// note and is followed by a bar sign is music, such as `d:|`.
fn field_of<'a>(line: &SourceLine<'a>, stage: Stage) -> Option<(char, SourceLine<'a>)> {
    let mut chars = line.text.chars();
    let letter = chars.next().filter(|c| c.is_ascii_alphabetic() || *c == '+')?;
    if chars.next() != Some(':') {
        return None;
    }
    let music = stage != Stage::Header && matches!(chars.next(), Some('|' | ':' | ']'));
    (!music).then(|| (letter, line.after_byte(2)))
}

fn looks_like_music(text: &str) -> bool {
    let musical = |c: &char| "ABCDEFGabcdefgxz|:[](){}<>/,'^_=-0123456789 \\\"!~.".contains(*c);
    let (all, fit) = (text.chars().count(), text.chars().filter(musical).count());
    text.contains('|') && fit * 10 >= all * 9
}

fn meter(text: &SourceLine<'_>) -> Result<MeterField, Fault> {
    fields::parse_meter(text.text).ok_or_else(|| {
        let found = said!("the meter \"{text}\"", text = shortened(text.text.trim()));
        let expected = said!("a meter such as 4/4, 6/8, 2+3/8, C, C| or none");
        Fault::malformed(text.place(0), found, expected, said!("correct the M: field"))
    })
}

fn unit(text: &SourceLine<'_>) -> Result<Fraction, Fault> {
    fields::parse_unit(text.text).ok_or_else(|| {
        let found = said!("the unit length \"{text}\"", text = shortened(text.text.trim()));
        Fault::malformed(text.place(0), found, said!("a length such as 1/8"), said!("correct the L: field"))
    })
}

/// What was found, short enough for one line.
pub(super) fn shortened(text: &str) -> String {
    let clean: String = text.chars().filter(|c| !c.is_control()).take(41).collect();
    match clean.char_indices().nth(40) {
        Some((byte, _)) => format!("{}…", &clean[..byte]),
        None => clean,
    }
}
