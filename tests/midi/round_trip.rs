//! MIDI out → read back → the same plucks on the same grid.

use leverlane_core::harp::{Preset, Tuning};
use leverlane_core::meter::Meter;
use leverlane_core::pitch::{Key, SpelledPitch};
use leverlane_core::plan::{EndOfPiece, HandPace, PaceLevel, Request, plan};
use leverlane_core::score::{
    Bar, BarIndex, Hand, HandRule, Hands, Navigation, Note, NoteKind, Part, Performance, PlayingOrder, Score,
    TempoMark, Tie, VoiceIndex,
};
use leverlane_core::time::{Tempo, Ticks};
use leverlane_formats::{Imported, Limits, MidiSource, import, write_midi};
use midly::{MetaMessage, Smf, Timing, TrackEventKind};

/// What is heard and counted: each pluck with its hand, each bar with its meter, length, key and tempo.
#[derive(Debug, PartialEq)]
struct Heard {
    plucks: Vec<(i64, i64, u8, Hand)>,
    bars: Vec<(String, Ticks, Ticks, Key)>,
    tempos: Vec<f64>,
}

fn heard(imported: &Imported) -> Heard {
    let score = &imported.score;
    let hands = Hands::assign(score, &HandRule::Usual);
    let performance = Performance::new(score, &imported.order, &hands);
    let plucks = performance.plucks().iter().map(|pluck| {
        let (on, off) = (pluck.at.since_start().get(), pluck.written_end.since_start().get());
        (on, off, pluck.pitch.midi().get(), pluck.hand)
    });
    let bars = performance.bars().iter().map(|played| {
        let bar = score.bar(played.bar).unwrap();
        (bar.meter.to_string(), bar.anacrusis, bar.length, bar.key)
    });
    let tempos = performance.bars().iter().map(|bar| {
        let tempo = performance.tempo().tempo_at(bar.starts).quarters_per_minute();
        (tempo * 1000.0).round() / 1000.0
    });
    Heard { plucks: plucks.collect(), bars: bars.collect(), tempos: tempos.collect() }
}

fn written(imported: &Imported) -> Vec<u8> {
    let hands = Hands::assign(&imported.score, &HandRule::Usual);
    let source = MidiSource { score: &imported.score, order: &imported.order, hands: &hands, plan: None, tempo: None };
    let file = write_midi(&source).unwrap();
    assert_eq!(file.warnings, []);
    file.bytes
}

fn read(bytes: &[u8]) -> Imported {
    import(bytes, &Limits::USUAL).unwrap_or_else(|error| panic!("{error}"))
}

fn demo(name: &str) -> Imported {
    let path = format!("{}/../demo/{name}", env!("CARGO_MANIFEST_DIR"));
    read(&std::fs::read(path).unwrap())
}

#[test]
fn the_demo_pieces_come_back() {
    for name in ["greensleeves.musicxml", "auld-lang-syne.musicxml"] {
        let original = demo(name);
        let back = read(&written(&original));
        let (wanted, found) = (heard(&original), heard(&back));
        assert!(wanted.plucks.len() > 50, "{name}");
        assert_eq!(found.plucks, wanted.plucks, "{name}");
        assert_eq!(found.bars, wanted.bars, "{name}");
        assert_eq!(found.tempos, wanted.tempos, "{name}");
        assert_eq!(heard(&read(&written(&back))), found, "{name}, a second time");
    }
}

fn quarters(numerator: i64, denominator: i64) -> Ticks {
    Ticks::from_quarters(numerator, denominator).unwrap()
}

fn bar(meter: Meter, length: Ticks, anacrusis: Ticks, tempo: Option<f64>) -> Bar {
    let mark = |tempo| TempoMark { at: Ticks::ZERO, tempo: Tempo::quarters(tempo).unwrap() };
    Bar {
        number: String::new(),
        length,
        meter,
        anacrusis,
        key: Key::from_fifths(-3).unwrap(),
        tempo_marks: tempo.map(mark).into_iter().collect(),
        navigation: Navigation::default(),
    }
}

fn note(bar: usize, onset: Ticks, length: Ticks, pitch: &str, staff: u8) -> Note {
    Note {
        bar: BarIndex::new(bar),
        onset,
        length,
        pitch: pitch.parse::<SpelledPitch>().unwrap(),
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

/// A pickup, a bar that breaks off, a change of meter and tempo, fifths, sevenths and elevenths of a quarter.
#[test]
fn irregular_bars_and_tuplets_come_back() {
    let (three, six) = (Meter::new(&[3], 4).unwrap(), Meter::new(&[6], 8).unwrap());
    let bars = vec![
        bar(three.clone(), quarters(1, 1), quarters(2, 1), Some(84.0)),
        bar(three.clone(), quarters(3, 1), Ticks::ZERO, None),
        bar(three.clone(), quarters(2, 1), Ticks::ZERO, None),
        bar(three, quarters(3, 1), Ticks::ZERO, Some(101.5)),
        bar(six.clone(), quarters(3, 1), Ticks::ZERO, None),
        bar(six, quarters(3, 2), Ticks::ZERO, None),
    ];
    let mut notes = vec![
        note(0, quarters(1, 2), quarters(1, 2), "Bb4", 1),
        note(2, Ticks::ZERO, quarters(2, 1), "C5", 1),
        note(4, Ticks::ZERO, quarters(3, 2), "Eb5", 1),
        note(5, Ticks::ZERO, quarters(3, 2), "Eb3", 2),
    ];
    for parts in [5, 7, 11] {
        let bar = [1, 1, 3][usize::from(parts > 5) + usize::from(parts > 7)];
        let start = if parts == 7 { Ticks::QUARTER } else { Ticks::ZERO };
        let part = quarters(1, parts);
        notes.extend((0..parts).map(|index| note(bar, start + part * index, part, "G4", 1)));
        notes.extend((0..parts).map(|index| note(bar, start + part * index, part, "Ab2", 2)));
    }
    let part = Part { name: "Harp".to_owned(), staves: 2, voices: vec!["1".to_owned()], notes };
    let score = Score::new("", bars, vec![part]).unwrap();
    let order = PlayingOrder::as_written(&score);
    let original = Imported { score, order, warnings: Vec::new() };
    assert_eq!(heard(&read(&written(&original))), heard(&original));
}

/// Each flip of the plan stands at its beat, in words, on the track of its hand.
#[test]
fn flips_are_text_at_their_beats() {
    let imported = demo("greensleeves.musicxml");
    let hands = Hands::assign(&imported.score, &HandRule::Usual);
    let performance = Performance::new(&imported.score, &imported.order, &hands);
    let harp = Preset::with_strings(34).unwrap().tuned(Tuning::C);
    let planned = plan(&Request {
        performance: &performance,
        harp: &harp,
        tempo: performance.tempo(),
        pace: &HandPace::from(PaceLevel::Fluent),
        edits: &[],
        ending: EndOfPiece::Stop,
    });
    let source =
        MidiSource { score: &imported.score, order: &imported.order, hands: &hands, plan: Some(&planned), tempo: None };
    let bytes = write_midi(&source).unwrap().bytes;
    let smf = Smf::parse(&bytes).unwrap();
    let Timing::Metrical(division) = smf.header.timing else { panic!("{:?}", smf.header) };
    let mut found = Vec::new();
    for events in &smf.tracks {
        let mut now = 0;
        for event in events {
            now += i64::from(event.delta.as_int());
            if let TrackEventKind::Meta(MetaMessage::Text(text)) = event.kind {
                found.push((
                    now * Ticks::PER_QUARTER / i64::from(division.as_int()),
                    String::from_utf8_lossy(text).into_owned(),
                ));
            }
        }
    }
    found.sort();
    let mut wanted: Vec<_> = planned
        .gestures
        .iter()
        .flat_map(|gesture| gesture.flips.iter().map(move |flip| (gesture, flip)))
        .map(|(gesture, flip)| {
            let string = format!("{}{}", flip.sounds.letter(), flip.sounds.octave());
            (gesture.at.since_start().get(), format!("{string} {}, {} hand", flip.to, gesture.hand))
        })
        .collect();
    wanted.sort();
    assert!(wanted.len() >= 6, "the demo shows at least six flips");
    assert_eq!(found, wanted);
}
