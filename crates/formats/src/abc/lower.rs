//! From the voices of a tune to a score with its playing order.

use std::collections::BTreeMap;

use leverlane_core::meter::Meter;
use leverlane_core::pitch::{Key, Letter, SpelledPitch};
use leverlane_core::score::{
    Bar, BarIndex, JumpTarget, Note, NoteKind, Part, PlayingOrder, Score, TempoMark, Tie, VoiceIndex,
};
use leverlane_core::time::Ticks;

use super::fields::{MeterField, Register};
use super::fraction::{Exactness, Fraction};
use super::measure::{BarMarks, Head, Measure};
use super::parser::Tune;
use super::repeats;
use super::source::{Fault, Place};
use super::voice::Voice;
use super::warnings::Gathered;
use crate::{Detail, ImportError, Imported, Limits, Said, said};

/// A tune that makes no score, and where that shows, if it shows in one place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Refused {
    pub(super) place: Option<Place>,
    pub(super) error: Box<ImportError>,
}

impl From<Fault> for Refused {
    fn from(fault: Fault) -> Refused {
        Refused { place: Some(fault.place), error: Box::new(fault.into()) }
    }
}

impl From<ImportError> for Refused {
    fn from(error: ImportError) -> Refused {
        Refused { place: None, error: Box::new(error) }
    }
}

/// Makes the score of a tune.
///
/// # Errors
/// A tune without notes, pitches that have no name, or repeats that unroll to too many bars.
pub(super) fn lower(mut tune: Tune, limits: &Limits) -> Result<Imported, Refused> {
    let mut warnings = std::mem::take(&mut tune.warnings);
    let sounding =
        |voice: &Voice| voice.measures.iter().flat_map(|measure| &measure.events).any(|event| !event.heads.is_empty());
    if !tune.voices.iter().any(sounding) {
        return Err(ImportError::NothingToPlay(Detail {
            place: Said::default(),
            found: said!("a tune without notes"),
            expected: said!("at least one note"),
            remedy: said!("choose another tune, or check that its key field (K:) stands before its notes"),
        })
        .into());
    }
    // A voice with a clef of its own is a staff, even an empty one.
    tune.voices.retain(|voice| !voice.measures.is_empty() || voice.register.is_some());
    let marks = united_marks(&tune.voices, &mut warnings);
    let bars = bars(&tune.voices, &marks, &mut warnings);
    let parts = parts(&tune, &mut warnings)?;
    let order = order(&tune, &bars, &marks, limits, &mut warnings)?;
    let count = bars.len();
    let score = Score::new(tune.title, bars, parts).map_err(|error| {
        ImportError::Malformed(Detail {
            place: Said::default(),
            found: Said::quoted(error.to_string()),
            expected: said!("bars and notes that fit together"),
            remedy: said!("check the bar lines"),
        })
    })?;
    limits.allow_playing(&score, &order)?;
    Ok(Imported { score, order, warnings: warnings.into_warnings(count) })
}

/// What stands at each bar, whichever voice says it.
fn united_marks(voices: &[Voice], warnings: &mut Gathered) -> Vec<BarMarks> {
    let count = voices.iter().map(|voice| voice.measures.len()).max().unwrap_or(0);
    for voice in voices.iter().filter(|voice| (1..count).contains(&voice.measures.len())) {
        let (bars, name) = (voice.measures.len(), &voice.id);
        warnings
            .add(Some(bars), said!("voice \"{name}\" has {bars} bars where another has {count}", name, bars, count));
    }
    (0..count)
        .map(|index| {
            let mut here = voices.iter().filter_map(|voice| voice.measures.get(index)).map(|measure| &measure.marks);
            let mut marks = here.next().cloned().unwrap_or_default();
            for other in here {
                marks.opens_repeat = marks.opens_repeat.max(other.opens_repeat);
                marks.closes_repeat = marks.closes_repeat.max(other.closes_repeat);
                marks.ends_section |= other.ends_section;
                marks.segno |= other.segno;
                marks.coda |= other.coda;
                marks.to_coda |= other.to_coda;
                marks.fine |= other.fine;
                marks.ending = marks.ending.or_else(|| other.ending.clone());
                marks.jump = marks.jump.or_else(|| other.jump.clone());
                marks.part = marks.part.or(other.part);
            }
            marks
        })
        .collect()
}

fn bars(voices: &[Voice], marks: &[BarMarks], warnings: &mut Gathered) -> Vec<Bar> {
    let navigation = repeats::navigation(marks);
    let mut bars: Vec<Bar> = Vec::with_capacity(marks.len());
    // How much of a full bar the one before left open, where this one could go on with it.
    let mut left_open = Ticks::ZERO;
    let mut section_begins = true;
    for (index, navigation) in navigation.into_iter().enumerate() {
        let here: Vec<&Measure> = voices.iter().filter_map(|voice| voice.measures.get(index)).collect();
        let Some(first) = here.first() else { continue };
        let longest = here.iter().map(|measure| measure.length).max().unwrap_or(Fraction::ZERO);
        let (length, _) = longest.ticks();
        // A bar too short for a tick still lasts one.
        let length = length.max(Ticks::new(1));
        let full = match &first.meter {
            MeterField::Counted(meter) => Some(meter.bar_length()),
            MeterField::Free => None,
        };
        let meter = match &first.meter {
            MeterField::Counted(meter) => meter.clone(),
            MeterField::Free => meter_of_length(length),
        };
        let begins_section = section_begins || navigation.repeat_start;
        let in_later_ending = navigation.ending.as_ref().is_some_and(|ending| ending.starts);
        let missing = full.map_or(Ticks::ZERO, |full| full - length).max(Ticks::ZERO);
        let goes_on = left_open > Ticks::ZERO && left_open == length;
        let anacrusis =
            if goes_on && missing > Ticks::ZERO || begins_section && !in_later_ending && index + 1 < marks.len() {
                missing
            } else {
                Ticks::ZERO
            };
        if let Some(full) = full.filter(|&full| length > full) {
            warnings.add_to_bar(
                index,
                said!(
                    "a bar lasts {length} quarter notes where its meter has {full}",
                    length = length.to_string(),
                    full = full.to_string()
                ),
            );
        }
        let number = match bars.last() {
            None if anacrusis > Ticks::ZERO => 0,
            None => 1,
            Some(before) => before.number.parse::<usize>().unwrap_or(index) + usize::from(!goes_on),
        };
        let tempo_marks = here
            .iter()
            .flat_map(|measure| &measure.tempos)
            .map(|&(at, tempo)| TempoMark { at: at.ticks().0, tempo })
            .collect();
        left_open = if anacrusis > Ticks::ZERO { Ticks::ZERO } else { missing };
        section_begins = marks[index].ends_section || marks[index].closes_repeat > 0;
        let key = shifted_key(first.signature.key, first.semitones);
        bars.push(Bar { number: number.to_string(), length, meter, anacrusis, key, tempo_marks, navigation });
    }
    tell_short_bars(&bars, marks, warnings);
    if bars.iter().all(|bar| bar.navigation.segno.is_none())
        && let Some(index) = bars
            .iter()
            .position(|bar| bar.navigation.jump.as_ref().is_some_and(|jump| jump.target != JumpTarget::DaCapo))
    {
        warnings.add(Some(index), said!("a dal segno without a segno was not followed"));
    }
    bars
}

/// Bars in the middle of a section that are neither full nor part of a split one are most often mistakes.
fn tell_short_bars(bars: &[Bar], marks: &[BarMarks], warnings: &mut Gathered) {
    for (index, pair) in bars.windows(2).enumerate() {
        let [bar, next] = pair else { continue };
        let (length, full) = (bar.length, bar.meter.bar_length());
        let at_edge = marks[index].ends_section
            || marks[index].closes_repeat > 0
            || next.navigation.repeat_start
            || next.navigation.ending.as_ref().is_some_and(|ending| ending.starts);
        if length < full && bar.anacrusis == Ticks::ZERO && next.anacrusis == Ticks::ZERO && !at_edge {
            warnings.add_to_bar(
                index,
                said!(
                    "a bar lasts {length} quarter notes where its meter has {full}",
                    length = length.to_string(),
                    full = full.to_string()
                ),
            );
        }
    }
}

/// A meter for a bar of free length, in the longest unit that counts it.
fn meter_of_length(length: Ticks) -> Meter {
    let whole = 4 * Ticks::PER_QUARTER;
    [4u32, 8, 16, 32, 64]
        .into_iter()
        .find_map(|unit| {
            let unit_length = whole / i64::from(unit);
            let count = u8::try_from(length.get() / unit_length).ok()?;
            (length.get() % unit_length == 0).then(|| Meter::new(&[count], unit).ok()).flatten()
        })
        .unwrap_or_else(Meter::common)
}

/// The staves of one part: voices by their places.
type Staves = Vec<Vec<usize>>;

/// Which voices make which part: as `%%score` or `%%staves` says; else two voices are one part on two staves, upper
/// first, and any other number are parts of their own.
fn arrangement(tune: &Tune) -> Vec<Staves> {
    let voices = &tune.voices;
    if let Some(layout) = &tune.layout {
        let mut parts = parse_layout(layout, voices);
        let named: Vec<usize> = parts.iter().flatten().flatten().copied().collect();
        let two_alone = parts.len() == 2 && parts.iter().all(|staves| staves.len() == 1) && named.len() == voices.len();
        if two_alone {
            parts = vec![parts.concat()];
        }
        if !named.is_empty() {
            parts.extend((0..voices.len()).filter(|index| !named.contains(index)).map(|index| vec![vec![index]]));
            return parts;
        }
    }
    if voices.len() != 2 {
        return (0..voices.len()).map(|index| vec![vec![index]]).collect();
    }
    let upside_down = voices[0].register == Some(Register::Lower) && voices[1].register != Some(Register::Lower);
    vec![if upside_down { vec![vec![1], vec![0]] } else { vec![vec![0], vec![1]] }]
}

/// Reads a layout such as `{RH | (LH1 LH2)} Voice`: braces and brackets hold the staves of one part, parentheses the
/// voices of one staff.
fn parse_layout(text: &str, voices: &[Voice]) -> Vec<Staves> {
    let mut parts: Vec<Staves> = Vec::new();
    let (mut in_part, mut in_staff) = (false, false);
    let mut word = String::new();
    let mut taken = vec![false; voices.len()];
    for c in text.split('%').next().unwrap_or_default().chars().chain([' ']) {
        if !(c.is_whitespace() || "{}()[]|*".contains(c)) {
            word.push(c);
            continue;
        }
        if let Some(index) = voices.iter().position(|voice| !word.is_empty() && voice.id == word)
            && !std::mem::replace(&mut taken[index], true)
        {
            match parts.last_mut().filter(|_| in_part || in_staff) {
                Some(part) => match part.last_mut().filter(|staff| in_staff || staff.is_empty()) {
                    Some(staff) => staff.push(index),
                    None => part.push(vec![index]),
                },
                None => parts.push(vec![vec![index]]),
            }
        }
        word.clear();
        match c {
            '{' => {
                in_part = true;
                parts.push(Vec::new());
            }
            '}' => in_part = false,
            '(' => {
                in_staff = true;
                match parts.last_mut().filter(|_| in_part) {
                    Some(part) => part.push(Vec::new()),
                    None => parts.push(vec![Vec::new()]),
                }
            }
            ')' => in_staff = false,
            _ => {}
        }
    }
    for part in &mut parts {
        part.retain(|staff| !staff.is_empty());
    }
    parts.retain(|part| !part.is_empty());
    parts
}

fn parts(tune: &Tune, warnings: &mut Gathered) -> Result<Vec<Part>, Fault> {
    let mut parts = Vec::new();
    for staves in arrangement(tune) {
        let mut part = Part { name: String::new(), staves: 1, voices: Vec::new(), notes: Vec::new() };
        for (staff, voices) in staves.iter().enumerate() {
            let staff = u8::try_from(staff + 1).unwrap_or(u8::MAX);
            part.staves = staff;
            for &index in voices {
                let voice = &tune.voices[index];
                if part.name.is_empty() {
                    part.name = voice.name.clone();
                }
                add_voice(&mut part, voice, staff, warnings)?;
            }
        }
        parts.push(part);
    }
    Ok(parts)
}

/// Puts a voice's notes into its part, each overlay as a voice of its own.
fn add_voice(part: &mut Part, voice: &Voice, staff: u8, warnings: &mut Gathered) -> Result<(), Fault> {
    let events = || voice.measures.iter().flat_map(|measure| &measure.events);
    let layers = events().map(|event| event.layer).max().unwrap_or(0);
    let first_voice = u16::try_from(part.voices.len()).unwrap_or(u16::MAX);
    let name = if voice.id.is_empty() { "1" } else { &voice.id };
    part.voices.extend((0..=layers).map(
        |layer| {
            if layer == 0 { name.to_owned() } else { format!("{name}, overlay {layer}") }
        },
    ));
    for (index, measure) in voice.measures.iter().enumerate() {
        let bar = BarIndex::new(index);
        let mut rounded = false;
        for event in &measure.events {
            let onset = settled(event.onset, &mut rounded);
            let voice = VoiceIndex(first_voice.saturating_add(u16::try_from(event.layer).unwrap_or(u16::MAX)));
            let note = |head: &Head, length, kind, place_in_bar: Ticks| -> Result<Note, Fault> {
                let pitch = pitch(head, measure.semitones)?;
                Ok(Note {
                    bar,
                    onset: place_in_bar,
                    length,
                    pitch,
                    harmonic: None,
                    kind,
                    staff,
                    voice,
                    tie: head.tie,
                    roll: if kind == NoteKind::Timed { event.roll } else { None },
                    rings_on: false,
                    held: kind == NoteKind::Timed && event.held,
                    fingers: Vec::new(),
                    glissando_to: None,
                })
            };
            for (row, grace) in &event.graces {
                part.notes.push(Note { tie: Tie::None, ..note(grace, Ticks::ZERO, NoteKind::Grace(*row), onset)? });
            }
            for (place, head) in event.heads.iter().enumerate() {
                let fingers = match event.heads.len() {
                    1 => event.fingers.clone(),
                    _ => event.fingers.get(place).copied().into_iter().collect(),
                };
                // The end is rounded rather than the length, so that roundings never add up.
                let end = event.onset.plus(head.length).unwrap_or(event.onset);
                let length = (settled(end, &mut rounded) - onset).max(Ticks::new(1));
                part.notes.push(Note { fingers, ..note(head, length, NoteKind::Timed, onset)? });
            }
        }
        if rounded {
            let finest = Ticks::new(1);
            warnings.add(
                Some(index),
                said!("lengths finer than {finest} of a quarter note were rounded to it", finest = finest.to_string()),
            );
        }
    }
    Ok(())
}

fn settled(place: Fraction, rounded: &mut bool) -> Ticks {
    let (ticks, exactness) = place.ticks();
    *rounded |= exactness == Exactness::Rounded;
    ticks
}

fn pitch(head: &Head, semitones: i8) -> Result<SpelledPitch, Fault> {
    let place = head.place;
    let written = i8::try_from(head.octave)
        .ok()
        .and_then(|octave| SpelledPitch::new(head.letter, head.alter, octave).ok())
        .and_then(|pitch| transposed(pitch, semitones));
    written.ok_or_else(|| {
        let found =
            said!("the note {letter} in octave {octave}", letter = head.letter.to_string(), octave = head.octave);
        let remedy = said!("correct its octave marks, or the octave and transpose settings of its voice");
        Fault::malformed(place, found, said!("a pitch between C-1 and G9"), remedy)
    })
}

/// Fifths on the circle that a number of semitones moves by, the nearest way round.
fn fifths_of(semitones: i8) -> i32 {
    let fifths = (i32::from(semitones) * 7).rem_euclid(12);
    if fifths > 6 { fifths - 12 } else { fifths }
}

fn shifted_key(key: Key, semitones: i8) -> Key {
    let fifths = i32::from(key.fifths()) + fifths_of(semitones);
    let wrapped = if fifths > 7 {
        fifths - 12
    } else if fifths < -7 {
        fifths + 12
    } else {
        fifths
    };
    i8::try_from(wrapped).ok().and_then(Key::from_fifths).unwrap_or_default()
}

/// The pitch so many semitones higher, spelled as the same number of fifths moves its letter.
fn transposed(pitch: SpelledPitch, semitones: i8) -> Option<SpelledPitch> {
    if semitones == 0 {
        return Some(pitch);
    }
    let fifths = fifths_of(semitones);
    // A fifth is four letters; what is left over are octaves and alterations.
    let letter = Letter::from_steps(i32::from(pitch.letter().steps_above_c()) + 4 * fifths);
    let target = i16::from(pitch.midi().get()) + i16::from(semitones);
    let spelled = |octave: i8| {
        let natural = 12 * (i16::from(octave) + 1) + i16::from(letter.semitones_above_c());
        let alter = i8::try_from(target - natural).ok()?;
        SpelledPitch::new(letter, alter, octave).ok()
    };
    (-1..=9).filter_map(spelled).min_by_key(|pitch| pitch.alter().abs())
}

fn order(
    tune: &Tune,
    bars: &[Bar],
    marks: &[BarMarks],
    limits: &Limits,
    warnings: &mut Gathered,
) -> Result<PlayingOrder, ImportError> {
    let unrolled = |bars: &[Bar]| PlayingOrder::unroll(bars, limits.played_bars).map_err(too_many);
    let Some(wanted) = &tune.part_order else { return unrolled(bars) };
    let starts: Vec<(usize, char)> =
        marks.iter().enumerate().filter_map(|(index, marks)| Some((index, marks.part?))).collect();
    let labels = repeats::written_out(wanted, limits.played_bars);
    let mut places_of = BTreeMap::new();
    for (place, &(_, label)) in starts.iter().enumerate() {
        places_of.entry(label).or_insert(place);
    }
    let known = |label: &char| places_of.get(label).copied();
    let places = labels.and_then(|labels| labels.iter().map(known).collect::<Option<Vec<usize>>>());
    let Some(places) = places.filter(|places| !places.is_empty()) else {
        if !starts.is_empty() || wanted.chars().count() > 1 {
            let wanted = super::parser::shortened(wanted);
            warnings.add(
                None,
                said!("the order of parts \"{wanted}\" names parts that the tune has not: not followed", wanted),
            );
        }
        return unrolled(bars);
    };
    // What stands before the first label is played once, first.
    let mut played: Vec<BarIndex> = (0..starts[0].0).map(BarIndex::new).collect();
    let passages = starts
        .iter()
        .enumerate()
        .map(|(place, &(from, _))| {
            let to = starts.get(place + 1).map_or(bars.len(), |&(next, _)| next);
            let order = unrolled(&bars[from..to])?;
            Ok(order.bars().iter().map(|bar| BarIndex::new(from + bar.get())).collect())
        })
        .collect::<Result<Vec<Vec<BarIndex>>, ImportError>>()?;
    for place in places {
        if played.len() + passages[place].len() > limits.played_bars {
            return Err(too_many(leverlane_core::score::OrderError { limit: limits.played_bars }));
        }
        played.extend(&passages[place]);
    }
    PlayingOrder::explicit(played, bars).map_or_else(|| unrolled(bars), Ok)
}

fn too_many(error: leverlane_core::score::OrderError) -> ImportError {
    ImportError::LimitReached(Detail {
        place: Said::default(),
        found: said!("repeats and jumps that go on and on"),
        expected: said!("at most {most}", most = error.limit),
        remedy: said!("check the repeats"),
    })
}
