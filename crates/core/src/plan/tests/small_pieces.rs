//! Small pieces for the tests, made from a few words.

use proptest::prelude::ProptestConfig;

use crate::harp::{Harp, Preset, Tuning};
use crate::meter::Meter;
use crate::pitch::{Key, SpelledPitch};
use crate::plan::{Edit, EndOfPiece, HandPace, PaceLevel, Plan, Request, plan};
use crate::score::{
    Bar, BarIndex, Hand, HandRule, Hands, Navigation, Note, NoteKind, Part, Performance, PlayingOrder, RepeatEnd,
    Score, Tie, VoiceIndex,
};
use crate::time::{Tempo, TempoMap, Ticks};

/// So many cases of a property, or as many as PROPTEST_CASES says.
pub fn cases(usual: u32) -> ProptestConfig {
    let asked = std::env::var("PROPTEST_CASES").ok().and_then(|count| count.parse().ok());
    let cases = asked.unwrap_or(usual);
    ProptestConfig { cases, max_global_rejects: cases.saturating_mul(10), ..ProptestConfig::default() }
}

/// One note: hand, onset from the start of the piece, length, pitch.
pub type Sounding = (Hand, Ticks, Ticks, SpelledPitch);

/// Notes one after another, `n` quarters each: `A4 C5+E5 . G#4`, where `+` makes a chord and `.` a rest.
pub fn line(hand: Hand, quarters_each: i64, text: &str) -> Vec<Sounding> {
    let length = Ticks::QUARTER * quarters_each;
    let at = |index: usize| length * index as i64;
    text.split_whitespace()
        .enumerate()
        .filter(|&(_, chord)| chord != ".")
        .flat_map(|(index, chord)| chord.split('+').map(move |note| (hand, at(index), length, note.parse().unwrap())))
        .collect()
}

/// A piece of 4/4 bars in a key.
pub fn piece(fifths: i8, lines: &[Vec<Sounding>]) -> Performance {
    played(fifths, lines, 1)
}

/// A piece of 4/4 bars in a key, played so many times over.
pub fn played(fifths: i8, lines: &[Vec<Sounding>], times: u8) -> Performance {
    performed(fifths, lines.concat().into_iter().map(note).collect(), times)
}

/// A note by itself in 4/4.
pub fn note((hand, at, length, pitch): Sounding) -> Note {
    let bar_length = Meter::common().bar_length();
    Note {
        bar: BarIndex::new((at.get() / bar_length.get()) as usize),
        onset: Ticks::new(at.get() % bar_length.get()),
        length,
        pitch,
        harmonic: None,
        kind: NoteKind::Timed,
        staff: if hand == Hand::Right { 1 } else { 2 },
        voice: VoiceIndex(0),
        tie: Tie::None,
        roll: None,
        rings_on: false,
        held: false,
        fingers: Vec::new(),
        glissando_to: None,
    }
}

/// A piece of these notes in 4/4 bars in a key, played so many times over.
pub fn performed(fifths: i8, notes: Vec<Note>, times: u8) -> Performance {
    let meter = Meter::common();
    let over = |note: &Note| meter.bar_length() * note.bar.get() as i64 + note.onset + note.length;
    let end = notes.iter().map(over).max().unwrap_or(Ticks::QUARTER);
    let bar_length = meter.bar_length();
    let count = (end.get() + bar_length.get() - 1) / bar_length.get();
    let mut bars: Vec<Bar> = (0..count)
        .map(|index| Bar {
            number: (index + 1).to_string(),
            length: bar_length,
            meter: meter.clone(),
            anacrusis: Ticks::ZERO,
            key: Key::from_fifths(fifths).unwrap(),
            tempo_marks: Vec::new(),
            navigation: Navigation::default(),
        })
        .collect();
    let part = Part { name: "Harp".to_owned(), staves: 2, voices: vec!["1".to_owned()], notes };
    if let Some(last) = bars.last_mut() {
        last.navigation.repeat_end = Some(RepeatEnd { times, after_jump: false });
    }
    let score = Score::new("", bars, vec![part]).unwrap();
    let hands = Hands::assign(&score, &HandRule::Usual);
    Performance::new(&score, &PlayingOrder::unroll(score.bars(), 1_000).unwrap(), &hands)
}

/// A melody in the right hand, quarter notes, the left hand free.
pub fn tune(fifths: i8, text: &str) -> Performance {
    piece(fifths, &[line(Hand::Right, 1, text)])
}

/// The usual harp of 34 strings.
pub fn harp(tuning: Tuning) -> Harp {
    Preset::with_strings(34).unwrap().tuned(tuning)
}

/// A plan at so many quarter notes a minute.
pub fn planned(performance: &Performance, harp: &Harp, bpm: f64, ending: EndOfPiece, edits: &[Edit]) -> Plan {
    let tempo = TempoMap::steady(Tempo::quarters(bpm).unwrap());
    let pace = HandPace::from(PaceLevel::Fluent);
    plan(&Request { performance, harp, tempo: &tempo, pace: &pace, edits, ending })
}

/// The plan of a piece that ends, at a crawl.
pub fn slowly(performance: &Performance, harp: &Harp) -> Plan {
    planned(performance, harp, 20.0, EndOfPiece::Stop, &[])
}

/// What the start setting says of some strings, by their letters: `F5 up`.
pub fn starts(plan: &Plan, harp: &Harp, pitches: &str) -> String {
    let of = |text: &str| {
        let pitch: SpelledPitch = text.parse().unwrap();
        let (number, _) = harp.string_of_letter(pitch).unwrap();
        format!("{text} {}", plan.start.of(number))
    };
    pitches.split_whitespace().map(of).collect::<Vec<_>>().join(", ")
}

/// The flips in order, by the letter of their string: `G4 up, G4 down`.
pub fn flips(plan: &Plan, harp: &Harp) -> String {
    let flips = plan.gestures.iter().flat_map(|gesture| &gesture.flips);
    let said = flips.map(|flip| {
        let open = harp.string(flip.string).unwrap().open;
        format!("{}{} {}", open.letter(), open.octave(), flip.to)
    });
    said.collect::<Vec<_>>().join(", ")
}
