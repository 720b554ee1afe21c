//! Chunks and timelines of made-up pieces with plans made by hand.

use proptest::prelude::*;

use super::*;
use crate::harp::{Harp, LeverState, Preset, Setting, StringNumber, Tuning};
use crate::meter::{Counting, Meter};
use crate::pitch::{Key, SpelledPitch};
use crate::plan::{Flip, Gesture, HandPace, PaceLevel, Plan, Proof, Totals, Window};
use crate::score::{
    Bar, BarIndex, Hand, HandRule, Hands, Navigation, Note, NoteKind, Part, Performance, PlayingOrder, Roll, Score,
    TempoMark, Tie, VoiceIndex,
};
use crate::time::{ScoreTime, Seconds, Tempo, Ticks};

mod climbing;
mod cutting;
mod keeping;
mod placing;
mod properties;

fn quarters(numerator: i64, denominator: i64) -> Ticks {
    Ticks::from_quarters(numerator, denominator).unwrap()
}

fn meter(groups: &[u8], unit: u32) -> Meter {
    Meter::new(groups, unit).unwrap()
}

/// A full bar.
fn bar(meter: &Meter) -> Bar {
    Bar {
        number: String::new(),
        length: meter.bar_length(),
        meter: meter.clone(),
        anacrusis: Ticks::ZERO,
        key: Key::NATURAL,
        tempo_marks: Vec::new(),
        navigation: Navigation::default(),
    }
}

/// A pickup that lasts so long.
fn pickup(meter: &Meter, length: Ticks) -> Bar {
    Bar { length, anacrusis: meter.bar_length() - length, ..bar(meter) }
}

/// A note a quarter long, on staff 1 (right) or 2 (left).
fn note(bar: usize, onset: Ticks, pitch: &str, staff: u8) -> Note {
    Note {
        bar: BarIndex::new(bar),
        onset,
        length: Ticks::QUARTER,
        pitch: pitch.parse().unwrap(),
        harmonic: None,
        kind: NoteKind::Timed,
        staff,
        voice: VoiceIndex(0),
        tie: Tie::None,
        roll: None,
        rings_on: false,
        held: false,
        fingers: Vec::new(),
        glissando_to: None,
    }
}

/// A piece on a 34-string harp in C, its plan without flips and 60 quarters a minute.
#[derive(Clone, Debug)]
struct Piece {
    harp: Harp,
    performance: Performance,
    plan: Plan,
    pace: HandPace,
    tempo: Tempo,
}

impl Piece {
    fn new(bars: Vec<Bar>, notes: Vec<Note>) -> Piece {
        let part = Part { name: "Harp".into(), staves: 2, voices: vec!["1".into()], notes };
        let score = Score::new("", bars, vec![part]).unwrap();
        let hands = Hands::assign(&score, &HandRule::Usual);
        let performance = Performance::new(&score, &PlayingOrder::as_written(&score), &hands);
        let harp = Preset::with_strings(34).unwrap().tuned(Tuning::C);
        let strings = performance.plucks().iter().map(|pluck| harp.ways_to_sound(pluck.pitch.midi()).next()).collect();
        let start = Setting::all_down(&harp);
        let (end, totals) = (start.clone(), Totals::default());
        let plan = Plan {
            start,
            end,
            strings,
            gestures: Vec::new(),
            problems: Vec::new(),
            repeats: Vec::new(),
            totals,
            proof: Proof::BestPossible,
        };
        Piece {
            harp,
            performance,
            plan,
            pace: HandPace::from(PaceLevel::Fluent),
            tempo: Tempo::quarters(60.0).unwrap(),
        }
    }

    /// The string with this open pitch.
    fn string(&self, open: &str) -> StringNumber {
        self.harp.string_of_letter(open.parse::<SpelledPitch>().unwrap()).unwrap().0
    }

    /// Adds a left-hand gesture that flips one string at so many ticks from the start, for a pluck at `before`.
    fn flip(&mut self, at: Ticks, open: &str, to: LeverState, before: Ticks) {
        let string = self.string(open);
        let window = Window { after: None, before: ScoreTime::from_start(before) };
        let sounds = self.harp.string(string).unwrap().sounds(to);
        let at = ScoreTime::from_start(at);
        self.plan.gestures.push(Gesture {
            at,
            played_bar: self.performance.bar_at(at),
            hand: Hand::Left,
            flips: vec![Flip { string, to, sounds, window }],
            needed: Seconds::new(1.2),
            available: None,
            top_tempo: None,
            comfort: 0,
            locked: false,
        });
        self.plan.gestures.sort_by_key(|gesture| gesture.at);
    }

    fn request(&self) -> ChunkRequest<'_> {
        ChunkRequest {
            performance: &self.performance,
            plan: &self.plan,
            harp: &self.harp,
            pace: &self.pace,
            tempo: self.tempo,
        }
    }

    fn timeline(&self, chunk: &Chunk, options: TimelineOptions) -> Timeline {
        Timeline::of(chunk, &self.performance, &self.plan, options)
    }
}

fn counted_in(bars: u8) -> TimelineOptions {
    TimelineOptions { count_in_bars: bars, ..TimelineOptions::default() }
}

/// The clicks among events, in quarters, with their accents.
fn clicks_of(events: &[Event]) -> Vec<(f64, Accent)> {
    let click = |event: &Event| match event.kind {
        EventKind::Click(accent) => Some((event.at.quarters(), accent)),
        EventKind::Cue(_) | EventKind::Guide(_) | EventKind::Spoken { .. } | EventKind::Pluck { .. } => None,
    };
    events.iter().filter_map(click).collect()
}
