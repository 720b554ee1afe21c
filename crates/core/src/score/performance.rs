//! The piece as it is played once through: plucks in time.

mod glissando;
mod guide;
mod off_beat;

pub use guide::GuideNote;
pub use off_beat::{GRACE_STEP, OffBeat};

use std::collections::HashMap;

use super::{BarIndex, Hand, Hands, NoteKind, NoteRef, PlayingOrder, Roll, Score, Tie};
use crate::meter::{BarPlace, Counting, Meter};
use crate::pitch::{Key, MidiNote, SpelledPitch};
use crate::time::{ScoreTime, Tempo, TempoMap, Ticks};

/// One bar in the course of playing.
#[derive(Clone, Debug, PartialEq)]
pub struct PlayedBar {
    /// The written bar.
    pub bar: BarIndex,
    /// How often this bar has been played before.
    pub earlier_times: u32,
    /// When it begins.
    pub starts: ScoreTime,
    /// How long it lasts.
    pub length: Ticks,
    /// Its meter.
    pub meter: Meter,
    /// How much of a full bar is missing before it.
    pub anacrusis: Ticks,
}

impl PlayedBar {
    /// When the bar is over.
    pub fn ends(&self) -> ScoreTime {
        self.starts + self.length
    }

    /// An instant as the player counts it in this bar.
    pub fn place_of(&self, at: ScoreTime, counting: Counting) -> BarPlace {
        BarPlace::at(at - self.starts + self.anacrusis, &self.meter, counting)
    }
}

/// One string to be plucked once: a written note, or several joined by ties or standing in unison in one hand.
#[derive(Clone, Debug, PartialEq)]
pub struct Pluck {
    /// When it is plucked.
    pub at: ScoreTime,
    /// Order among plucks of one instant: graces first, then everything else together at `u8::MAX`.
    pub grace_order: u8,
    /// Where its written length ends, ties included.
    pub written_end: ScoreTime,
    /// The pitch that the string must sound; its lever follows from it.
    pub pitch: SpelledPitch,
    /// The pitch that is heard: another one than `pitch` only for a harmonic.
    pub sounds: SpelledPitch,
    /// Whether it is plucked by itself or swept over.
    pub stroke: Stroke,
    /// The hand that plucks it.
    pub hand: Hand,
    /// Which bar of the performance it falls in, by its place in [`Performance::bars`].
    pub played_bar: usize,
    /// The written note that is plucked.
    pub note: NoteRef,
    /// The roll of its chord, if it is rolled.
    pub roll: Option<Roll>,
}

/// How a string is made to sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stroke {
    /// Plucked for a written note.
    Plucked,
    /// Crossed by a glissando between the notes at its ends, spread evenly over the time of the first. Whatever stands
    /// on its lever is heard, and no other string can do instead: it must be the string of its letter.
    Swept,
}

/// A piece unrolled into plucks: what the planner and the drill work on.
#[derive(Clone, Debug, PartialEq)]
pub struct Performance {
    bars: Vec<PlayedBar>,
    plucks: Vec<Pluck>,
    tempo: TempoMap,
    key: Key,
    guide: Vec<GuideNote>,
}

impl Performance {
    /// The harp's notes of a score in playing order. Tied notes become one pluck where they follow each other in
    /// playing; a tie that leads nowhere is dropped. A glissando becomes a pluck of every string that it crosses.
    pub fn new(score: &Score, order: &PlayingOrder, hands: &Hands) -> Performance {
        let bars = played_bars(score, order);
        let mut plucks = plucks(score, &bars, hands);
        glissando::sweep(score, &bars, &mut plucks);
        plucks.sort_by_key(place_in_order);
        let plucks = join_unisons(plucks);
        let tempo = tempo_map(score, &bars);
        let key = bars.first().and_then(|first| score.bar(first.bar)).map(|bar| bar.key).unwrap_or_default();
        Performance { bars, plucks, tempo, key, guide: Vec::new() }
    }

    /// The same bars with other plucks, sorted anew.
    pub(super) fn with_plucks(&self, mut plucks: Vec<Pluck>) -> Performance {
        plucks.sort_by_key(place_in_order);
        Performance { plucks: join_unisons(plucks), ..self.clone() }
    }

    /// The bars as they are played.
    pub fn bars(&self) -> &[PlayedBar] {
        &self.bars
    }

    /// The plucks by time, graces before what they lead to, low before high.
    pub fn plucks(&self) -> &[Pluck] {
        &self.plucks
    }

    /// The written tempo.
    pub fn tempo(&self) -> &TempoMap {
        &self.tempo
    }

    /// The key signature at the start.
    pub fn key(&self) -> Key {
        self.key
    }

    /// When the last bar is over.
    pub fn end(&self) -> ScoreTime {
        self.bars.last().map_or(ScoreTime::START, PlayedBar::ends)
    }

    /// Which played bar an instant falls in, by its place in [`Performance::bars`]; before the start the first, after
    /// the end the last.
    pub fn bar_at(&self, at: ScoreTime) -> usize {
        self.bars.partition_point(|bar| bar.starts <= at).saturating_sub(1)
    }
}

fn played_bars(score: &Score, order: &PlayingOrder) -> Vec<PlayedBar> {
    let mut starts = ScoreTime::START;
    let mut times = vec![0u32; score.bars().len()];
    let mut played = Vec::with_capacity(order.bars().len());
    for &index in order.bars() {
        let Some(bar) = score.bar(index) else { continue };
        played.push(PlayedBar {
            bar: index,
            earlier_times: times[index.get()],
            starts,
            length: bar.length,
            meter: bar.meter.clone(),
            anacrusis: bar.anacrusis,
        });
        times[index.get()] += 1;
        starts = starts + bar.length;
    }
    played
}

fn plucks(score: &Score, bars: &[PlayedBar], hands: &Hands) -> Vec<Pluck> {
    let mut plucks: Vec<Pluck> = Vec::new();
    for (part_index, part) in score.parts().iter().enumerate() {
        // Where the notes of each written bar stand in the part's list.
        let mut ranges = vec![0..0; score.bars().len()];
        for (index, note) in part.notes.iter().enumerate() {
            let range = &mut ranges[note.bar.get()];
            *range = if range.start == range.end { index..index + 1 } else { range.start..index + 1 };
        }
        // Ties waiting for their next note: by pitch and the instant where it must begin.
        let mut waiting: HashMap<(SpelledPitch, ScoreTime), usize> = HashMap::new();
        for (played_bar, bar) in bars.iter().enumerate() {
            for index in ranges[bar.bar.get()].clone() {
                let (note, reference) = (&part.notes[index], NoteRef { part: part_index, note: index });
                let Some(hand) = hands.of(reference) else { continue };
                let (at, grace_order) = (bar.starts + note.onset, note.kind.order());
                let written_end = at + note.length;
                let prolonged = match note.tie {
                    Tie::Continue | Tie::Stop => waiting.remove(&(note.pitch, at)),
                    Tie::None | Tie::Start => None,
                };
                let pluck = match prolonged {
                    Some(pluck) => {
                        plucks[pluck].written_end = written_end;
                        pluck
                    }
                    None => {
                        let roll = note.roll;
                        let pitch = note.pitch;
                        plucks.push(Pluck {
                            at,
                            grace_order,
                            written_end,
                            pitch,
                            sounds: note.sounding(),
                            stroke: Stroke::Plucked,
                            hand,
                            played_bar,
                            note: reference,
                            roll,
                        });
                        plucks.len() - 1
                    }
                };
                if matches!(note.tie, Tie::Start | Tie::Continue) && note.kind == NoteKind::Timed {
                    waiting.insert((note.pitch, written_end), pluck);
                }
            }
        }
    }
    plucks
}

/// By time, graces before what they lead to, low before high.
fn place_in_order(pluck: &Pluck) -> (ScoreTime, u8, MidiNote, Hand, NoteRef) {
    (pluck.at, pluck.grace_order, pluck.pitch.midi(), pluck.hand, pluck.note)
}

/// Two voices of one hand that write the same pitch at the same instant mean one pluck, as long as the longer.
fn join_unisons(plucks: Vec<Pluck>) -> Vec<Pluck> {
    let mut joined: Vec<Pluck> = Vec::with_capacity(plucks.len());
    for pluck in plucks {
        match joined.last_mut() {
            Some(last)
                if (last.at, last.grace_order, last.pitch, last.hand)
                    == (pluck.at, pluck.grace_order, pluck.pitch, pluck.hand) =>
            {
                last.written_end = last.written_end.max(pluck.written_end);
            }
            _ => joined.push(pluck),
        }
    }
    joined
}

fn tempo_map(score: &Score, bars: &[PlayedBar]) -> TempoMap {
    let mut changes: Vec<(ScoreTime, Tempo)> = Vec::new();
    for bar in bars {
        for mark in score.bar(bar.bar).into_iter().flat_map(|written| &written.tempo_marks) {
            changes.push((bar.starts + mark.at, mark.tempo));
        }
    }
    // Before the first mark its own tempo holds too: a pickup goes at the speed of what it leads to.
    let opening = changes.first().map_or(Tempo::UNWRITTEN, |&(_, tempo)| tempo);
    TempoMap::with_changes(opening, &changes)
}
