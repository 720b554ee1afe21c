//! A score as a MIDI file, as it is played.
//!
//! Format 1: a first track with meters, tempos and key signatures; then the right hand, the left hand, and every other
//! part on a track of its own, all as harps. Repeats and jumps are written out. A plan's flips stand as text events
//! (FF 01) on the track of the hand that makes them: `C5 up, left hand`.
//!
//! What MIDI can't say: the two ways of writing one semitone, staves and voices within a hand, and bars that are longer
//! or shorter than their meter. Such a bar is followed by its meter once more, which [`super::read_midi`] takes as a
//! new bar; an overlong one counts as several. Grace notes take their time from the note before.

use std::collections::BTreeMap;

use midly::num::{u4, u7, u15, u24, u28};
use midly::{Format, Header, MetaMessage, MidiMessage, Smf, Timing, TrackEvent, TrackEventKind};

use leverlane_core::plan::{Flip, Gesture, Plan};
use leverlane_core::score::{Hand, HandRule, Hands, NoteRef, Performance, PlayingOrder, Pluck, Score};
use leverlane_core::time::{ScoreTime, TempoMap, Ticks};

use crate::{Warning, said};

/// What is to be written.
#[derive(Clone, Copy, Debug)]
pub struct MidiSource<'a> {
    /// The written music.
    pub score: &'a Score,
    /// The order in which its bars are played.
    pub order: &'a PlayingOrder,
    /// The harp's notes and their hands.
    pub hands: &'a Hands,
    /// The flips to write beside the notes, planned for this very performance; none to leave them out.
    pub plan: Option<&'a Plan>,
    /// The tempo to write; none for that of the score.
    pub tempo: Option<&'a TempoMap>,
}

/// A MIDI file, and what it could not say exactly.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MidiFile {
    /// The file.
    pub bytes: Vec<u8>,
    /// Meters, lengths or places that were bent.
    pub warnings: Vec<Warning>,
}

/// A piece that does not fit into a MIDI file.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum MidiWriteError {
    /// Too long between two events.
    #[error("a gap of {quarters} quarters: expected at most {} in a MIDI file; split the piece", MOST_TICKS / LEAST_DIVISION)]
    TooLong {
        /// How long, in whole quarters.
        quarters: i64,
    },
    /// The file could not be put together.
    #[error("the MIDI file could not be put together: {0}; split the piece")]
    Refused(String),
}

/// File ticks to the quarter are at least this many, so that other programs have room to play with.
const LEAST_DIVISION: i64 = 480;
/// The most a division can be: 15 bits (SMF 1.0).
const MOST_DIVISION: i64 = 32_767;
/// The most between two events: 28 bits (SMF 1.0).
const MOST_TICKS: i64 = (1 << 28) - 1;
/// General MIDI 1: orchestral harp, counted from 0.
const HARP: u8 = 46;
/// A grace note takes this much of the time before its note: a 32nd.
const GRACE: Ticks = Ticks::new(Ticks::PER_QUARTER / 8);

/// Writes a piece as it is played.
///
/// # Errors
/// Where the piece is too long for the format.
pub fn write_midi(source: &MidiSource<'_>) -> Result<MidiFile, MidiWriteError> {
    let performance = Performance::new(source.score, source.order, source.hands);
    let mut warnings = Vec::new();
    let tempo = source.tempo.unwrap_or(performance.tempo());
    let conductor = conductor(source.score, &performance, tempo, &mut warnings);
    let mut lines = hand_lines(&performance, source.plan);
    for (index, part) in source.score.parts().iter().enumerate() {
        let rule = HandRule::All { parts: vec![index], hand: Hand::Right };
        if (0..part.notes.len()).all(|note| source.hands.of(NoteRef { part: index, note }).is_none()) {
            let others = Performance::new(source.score, source.order, &Hands::assign(source.score, &rule));
            let line = Line { name: part.name.clone(), notes: sounding(others.plucks().iter()), texts: Vec::new() };
            lines.push(line);
        }
    }
    lines.retain(|line| !line.notes.is_empty() || !line.texts.is_empty());
    let places = conductor.iter().map(|(at, _)| *at).chain(lines.iter().flat_map(Line::places));
    let division = Division::exact_for(places, &mut warnings);
    let end = performance.end();
    let timing = Timing::Metrical(u15::new(division.per_quarter as u16));
    let mut smf = Smf::new(Header::new(Format::Parallel, timing));
    smf.tracks.push(division.track(conductor, end)?);
    for (index, line) in lines.iter().enumerate() {
        smf.tracks.push(division.track(line.events(index), end)?);
    }
    let mut bytes = Vec::new();
    smf.write_std(&mut bytes).map_err(|error| MidiWriteError::Refused(error.to_string()))?;
    Ok(MidiFile { bytes, warnings })
}

/// The grid: meters, tempos, keys.
fn conductor<'a>(
    score: &Score,
    performance: &Performance,
    tempo_map: &TempoMap,
    warnings: &mut Vec<Warning>,
) -> Vec<(ScoreTime, TrackEventKind<'a>)> {
    let mut events = Vec::new();
    let mut meta = |at, message| events.push((at, TrackEventKind::Meta(message)));
    let (mut meter, mut key, mut tempo) = (None, None, None);
    // After an irregular bar its meter is stated again; the second bar's always, so that a reader knows a pickup from
    // a bar that breaks off later.
    let mut irregular = false;
    for (index, bar) in performance.bars().iter().enumerate() {
        let full = bar.meter.bar_length();
        let restate =
            irregular || index == 1 && performance.bars().iter().any(|bar| bar.length != bar.meter.bar_length());
        if restate || meter != Some(&bar.meter) {
            if bar.meter.groups().len() > 1 && meter != Some(&bar.meter) {
                let reason = said!(
                    "MIDI can't say how {meter} is grouped: it was written as one number",
                    meter = bar.meter.to_string()
                );
                warnings.push(Warning { bar: Some(bar.bar), reason });
            }
            let above = bar.meter.groups().iter().map(|&group| u32::from(group)).sum::<u32>() as u8;
            let below = bar.meter.unit().trailing_zeros() as u8;
            meta(bar.starts, MetaMessage::TimeSignature(above, below, 24, 8));
            meter = Some(&bar.meter);
        }
        irregular = bar.length != full;
        if bar.length > full {
            let reason = said!("MIDI can't say that a bar is longer than its meter: it counts as several");
            warnings.push(Warning { bar: Some(bar.bar), reason });
        }
        let Some(written) = score.bar(bar.bar) else { continue };
        if key != Some(written.key) {
            meta(bar.starts, MetaMessage::KeySignature(written.key.fifths(), false));
            key = Some(written.key);
        }
        // A tempo holds from its mark on, also where a repeat goes back to before it.
        let marks = written.tempo_marks.iter().map(|mark| bar.starts + mark.at);
        let opening = (index == 0).then_some(ScoreTime::START);
        for at in opening.into_iter().chain(marks) {
            let wanted = tempo_map.tempo_at(at);
            let micros = (60e6 / wanted.quarters_per_minute()).round() as u32;
            if tempo != Some(micros) {
                meta(at, MetaMessage::Tempo(u24::new(micros)));
                tempo = Some(micros);
            }
        }
    }
    if let (true, Some(last)) = (irregular, performance.bars().last()) {
        let above = last.meter.groups().iter().map(|&group| u32::from(group)).sum::<u32>() as u8;
        meta(last.ends(), MetaMessage::TimeSignature(above, last.meter.unit().trailing_zeros() as u8, 24, 8));
    }
    events.sort_by_key(|&(at, _)| at);
    events
}

/// One track of notes.
struct Line {
    name: String,
    notes: Vec<SoundingNote>,
    texts: Vec<(ScoreTime, String)>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct SoundingNote {
    on: ScoreTime,
    off: ScoreTime,
    key: u8,
}

fn hand_lines(performance: &Performance, plan: Option<&Plan>) -> Vec<Line> {
    let gestures = || plan.iter().flat_map(|plan| &plan.gestures);
    [(Hand::Right, "Right hand"), (Hand::Left, "Left hand")]
        .into_iter()
        .map(|(hand, name)| Line {
            name: name.to_owned(),
            notes: sounding(performance.plucks().iter().filter(|pluck| pluck.hand == hand)),
            texts: gestures().filter(|gesture| gesture.hand == hand).flat_map(flip_texts).collect(),
        })
        .collect()
}

fn flip_texts(gesture: &Gesture) -> impl Iterator<Item = (ScoreTime, String)> + '_ {
    let text = |flip: &Flip| {
        let string = flip.sounds.letter().to_string() + &flip.sounds.octave().to_string();
        (gesture.at, format!("{string} {}, {} hand", flip.to, gesture.hand))
    };
    gesture.flips.iter().map(text)
}

/// The plucks as notes with a length of their own: graces before what they lead to, and a string that is plucked again
/// while it sounds stopped by the second pluck where the file could not tell the two ends apart.
fn sounding<'a>(plucks: impl Iterator<Item = &'a Pluck>) -> Vec<SoundingNote> {
    let plucks: Vec<&Pluck> = plucks.collect();
    let mut notes = Vec::with_capacity(plucks.len());
    for (index, pluck) in plucks.iter().enumerate() {
        let key = pluck.sounds.midi().get();
        if pluck.grace_order == u8::MAX {
            notes.push(SoundingNote { on: pluck.at, off: pluck.written_end, key });
            continue;
        }
        // How many graces stand between this one and what it leads to, itself included.
        let left =
            plucks[index..].iter().take_while(|other| other.at == pluck.at && other.grace_order < u8::MAX).count();
        let on = pluck.at - GRACE * left as i64;
        // Before the start there is no time: there they sound with their note.
        let on = if on < ScoreTime::START { pluck.at } else { on };
        notes.push(SoundingNote { on, off: on + GRACE, key });
    }
    notes.retain(|note| note.off > note.on);
    notes.sort();
    stop_at_the_next_pluck(notes)
}

fn stop_at_the_next_pluck(mut notes: Vec<SoundingNote>) -> Vec<SoundingNote> {
    let mut last_of_key: BTreeMap<u8, usize> = BTreeMap::new();
    for index in 0..notes.len() {
        let note = notes[index];
        if let Some(earlier) = last_of_key.insert(note.key, index) {
            // First on, first off: an earlier note that ends first can be told apart.
            if notes[earlier].off > note.off {
                notes[earlier].off = note.on;
            }
        }
    }
    notes.retain(|note| note.off > note.on);
    notes
}

impl Line {
    fn places(&self) -> impl Iterator<Item = ScoreTime> + '_ {
        let notes = self.notes.iter().flat_map(|note| [note.on, note.off]);
        notes.chain(self.texts.iter().map(|(at, _)| *at))
    }

    /// The track's events by time; at one moment ends before flips before beginnings.
    fn events(&self, index: usize) -> Vec<(ScoreTime, TrackEventKind<'_>)> {
        // The channels in turn, that of the drums (the tenth) left out.
        let channel = u4::new([0, 1, 2, 3, 4, 5, 6, 7, 8, 10, 11, 12, 13, 14, 15][index % 15]);
        let midi = |message| TrackEventKind::Midi { channel, message };
        let mut events = vec![
            (ScoreTime::START, 0, TrackEventKind::Meta(MetaMessage::TrackName(self.name.as_bytes()))),
            (ScoreTime::START, 0, midi(MidiMessage::ProgramChange { program: u7::new(HARP) })),
        ];
        for note in &self.notes {
            let key = u7::new(note.key);
            events.push((note.on, 3, midi(MidiMessage::NoteOn { key, vel: u7::new(80) })));
            events.push((note.off, 1, midi(MidiMessage::NoteOff { key, vel: u7::new(64) })));
        }
        for (at, text) in &self.texts {
            events.push((*at, 2, TrackEventKind::Meta(MetaMessage::Text(text.as_bytes()))));
        }
        events.sort_by_key(|&(at, order, _)| (at, order));
        events.into_iter().map(|(at, _, event)| (at, event)).collect()
    }
}

/// File ticks to the quarter.
#[derive(Clone, Copy, Debug)]
struct Division {
    per_quarter: i64,
}

impl Division {
    /// The smallest division of [`LEAST_DIVISION`] or more in which every place is a whole number of file ticks. Where
    /// there is none, the finest that divides score time evenly, and a warning.
    fn exact_for(places: impl Iterator<Item = ScoreTime>, warnings: &mut Vec<Warning>) -> Division {
        let step = places.fold(Ticks::PER_QUARTER, |step, at| common_divisor(step, at.since_start().get().abs()));
        let needed = Ticks::PER_QUARTER / step;
        if needed <= MOST_DIVISION {
            let times = (LEAST_DIVISION + needed - 1) / needed;
            return Division { per_quarter: needed * times.max(1) };
        }
        let reason = said!("some places lie between the finest divisions of a MIDI file and were moved to the nearest");
        warnings.push(Warning { bar: None, reason });
        Division { per_quarter: Ticks::PER_QUARTER / 4 }
    }

    fn file_ticks(self, at: ScoreTime) -> i64 {
        let quarter = i128::from(Ticks::PER_QUARTER);
        let scaled = i128::from(at.since_start().get()) * i128::from(self.per_quarter);
        i64::try_from((2 * scaled + quarter).div_euclid(2 * quarter)).unwrap_or(i64::MAX).max(0)
    }

    /// A track of events by time, closed at `end` or after its last event.
    fn track<'a>(
        self,
        events: Vec<(ScoreTime, TrackEventKind<'a>)>,
        end: ScoreTime,
    ) -> Result<Vec<TrackEvent<'a>>, MidiWriteError> {
        let close = events.last().map_or(end, |&(at, _)| at.max(end));
        let mut now = 0;
        let closing = (close, TrackEventKind::Meta(MetaMessage::EndOfTrack));
        let event = |(at, kind): (ScoreTime, TrackEventKind<'a>)| {
            let at = self.file_ticks(at);
            let delta = u32::try_from(at - now).ok().and_then(u28::try_from);
            let too_long = || MidiWriteError::TooLong { quarters: (at - now) / self.per_quarter };
            let event = TrackEvent { delta: delta.ok_or_else(too_long)?, kind };
            now = at;
            Ok(event)
        };
        events.into_iter().chain([closing]).map(event).collect()
    }
}

fn common_divisor(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { common_divisor(b, a % b) }
}
