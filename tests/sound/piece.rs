//! A piece of two bars whose drill needs a reset.

use leverlane_core::drill::{Chunk, ChunkRequest, Timeline, TimelineOptions};
use leverlane_core::harp::{Harp, LeverState, Preset, Setting, Tuning};
use leverlane_core::meter::Meter;
use leverlane_core::pitch::{Key, SpelledPitch};
use leverlane_core::plan::{Flip, Gesture, HandPace, PaceLevel, Plan, Request, Window};
use leverlane_core::score::{
    Bar, BarIndex, Hand, HandRule, Hands, Navigation, Note, NoteKind, Part, Performance, PlayingOrder, Score, Tie,
    VoiceIndex,
};
use leverlane_core::time::{ScoreTime, Seconds, Tempo, TempoMap, Ticks};
use leverlane_core::verdict::{ExpectedPass, PassRequest, PlayedHands};

fn quarters(numerator: i64, denominator: i64) -> Ticks {
    Ticks::from_quarters(numerator, denominator).unwrap()
}

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

/// Two bars of 4/4. C3 in the left hand on both downbeats; F4 is raised half-way through the second beat of bar 2,
/// 5½ quarters from the start, for F♯4 on its third. One bar of count-in.
///
/// By the fluent pace (see `HandPace`) the left hand, at the levers since the flip, can bring F4 down on the bar line
/// that closes bar 2, 8 quarters from the start, and needs one bar to be back: a pass is 12 quarters long.
pub fn timeline(quarters_a_minute: f64) -> Timeline {
    drilled(quarters_a_minute).timeline
}

/// The piece as it is drilled, and what a pass asks of the player.
pub struct Drilled {
    pub timeline: Timeline,
    pub expected: ExpectedPass,
    pub harp: Harp,
}

/// See [`timeline`].
pub fn drilled(quarters_a_minute: f64) -> Drilled {
    let four = Meter::common();
    let bar = Bar {
        number: String::new(),
        length: four.bar_length(),
        meter: four,
        anacrusis: Ticks::ZERO,
        key: Key::NATURAL,
        tempo_marks: Vec::new(),
        navigation: Navigation::default(),
    };
    let notes = vec![
        note(0, Ticks::ZERO, "C3", 2),
        note(0, Ticks::ZERO, "C5", 1),
        note(0, quarters(3, 2), "F4", 1),
        note(1, Ticks::ZERO, "C3", 2),
        note(1, quarters(2, 1), "F#4", 1),
    ];
    let part = Part { name: "Harp".into(), staves: 2, voices: vec!["1".into()], notes };
    let score = Score::new("", vec![bar; 2], vec![part]).unwrap();
    let hands = Hands::assign(&score, &HandRule::Usual);
    let performance = Performance::new(&score, &PlayingOrder::as_written(&score), &hands);
    let harp = Preset::with_strings(34).unwrap().tuned(Tuning::C);
    let pace = HandPace::from(PaceLevel::Fluent);
    let tempo = Tempo::quarters(quarters_a_minute).unwrap();
    let plan = plan_by_hand(&performance, &harp, &pace, tempo);
    let request = ChunkRequest { performance: &performance, plan: &plan, harp: &harp, pace: &pace, tempo };
    let chunk = Chunk::whole(&request).unwrap();
    let options = TimelineOptions { count_in_bars: 1, ..TimelineOptions::default() };
    let timeline = Timeline::of(&chunk, &performance, &plan, options);
    let hands = PlayedHands::Both;
    let expected =
        ExpectedPass::of(&PassRequest { chunk: &chunk, performance: &performance, plan: &plan, harp: &harp, hands });
    Drilled { timeline, expected, harp }
}

/// The planner's answer with its gestures replaced by the one flip that these tests are about.
fn plan_by_hand(performance: &Performance, harp: &Harp, pace: &HandPace, tempo: Tempo) -> Plan {
    let ending = leverlane_core::plan::EndOfPiece::Stop;
    let tempo = &TempoMap::steady(tempo);
    let plan = leverlane_core::plan::plan(&Request { performance, harp, tempo, pace, edits: &[], ending });
    let f4: SpelledPitch = "F4".parse().unwrap();
    let string = harp.string_of_letter(f4).unwrap().0;
    let at = ScoreTime::from_start(quarters(11, 2));
    let window = Window { after: None, before: ScoreTime::from_start(quarters(6, 1)) };
    let sounds = "F#4".parse().unwrap();
    let gesture = Gesture {
        at,
        played_bar: 1,
        hand: Hand::Left,
        flips: vec![Flip { string, to: LeverState::Up, sounds, window }],
        needed: Seconds::new(1.2),
        available: None,
        top_tempo: None,
        comfort: 0,
        locked: false,
    };
    let start = Setting::all_down(harp);
    let mut end = start.clone();
    end.set(string, LeverState::Up);
    Plan { start, end, gestures: vec![gesture], problems: Vec::new(), ..plan }
}
