use leverlane_core::harp::{LeverState, Preset, StringNumber, Tuning};
use leverlane_core::meter::Meter;
use leverlane_core::pitch::Key;
use leverlane_core::plan::{FlipName, PaceFactor, PaceLevel};
use leverlane_core::score::{BarHands, BarIndex, Hand, NoteName};
use leverlane_core::time::Ticks;
use proptest::prelude::*;

use super::*;
use crate::Limits;
use crate::abc::PassageSettings;
use crate::documents::{Sha256, is_document};
use crate::paper::PaperSettings;

fn harp() -> HarpDocument {
    HarpDocument::Preset {
        name: String::new(),
        preset: Preset::with_strings(34).unwrap(),
        tuning: Tuning::EFlat,
        levers_on: None,
    }
}

fn piece(source: Source) -> Piece {
    Piece {
        title: "Greensleeves".to_owned(),
        source,
        harp: harp(),
        hands: HandRule::Usual,
        cue_line: None,
        tempo: None,
        pace: PaceLevel::Fluent.into(),
        ending: EndOfPiece::Stop,
        edits: Vec::new(),
        rewrites: Vec::new(),
        drill: DrillSettings::default(),
    }
}

fn refusal(text: &str) -> String {
    let line = Piece::read(text.as_bytes()).unwrap_err().to_string();
    assert!(!line.contains('\n'), "{line}");
    line
}

#[test]
fn the_example_of_the_module_reads() {
    let read = Piece::read(
        format!(
            r#"(
    document: piece,
    version: 1,
    title: "Greensleeves",
    source: file(path: "greensleeves.musicxml", sha256: "{}"),
    harp: (strings: preset(strings: 34, tuning: "Eb")),
    hands: usual,
    tempo: (beat: "3/2", per_minute: 36.0),
    pace: "improver",
    ending: stop,
    edits: [
        place(flip: (string: 16, to: up, needed_in: 3, needed_at: "9/4", time_through: 0), bar: 3, at: "3/2"),
    ],
    drill: (chunk: bar_each_side, count_in_bars: 1, tempo: (beat: "3/2", per_minute: 24.0)),
)"#,
            Sha256::of(b"score")
        )
        .as_bytes(),
    )
    .unwrap();
    let beat = Ticks::from_quarters(3, 2).unwrap();
    let flip = FlipName {
        string: StringNumber::new(16).unwrap(),
        to: LeverState::Up,
        needed_in: BarIndex::new(3),
        needed_at: Ticks::from_quarters(9, 4).unwrap(),
        time_through: 0,
    };
    let expected = Piece {
        tempo: Some(Tempo::beats(beat, 36.0).unwrap()),
        pace: PaceLevel::Improver.into(),
        edits: vec![Edit::Place { flip, bar: BarIndex::new(3), at: beat }],
        drill: DrillSettings { tempo: Some(Tempo::beats(beat, 24.0).unwrap()), ..DrillSettings::default() },
        ..piece(Source::File { path: "greensleeves.musicxml".to_owned(), sha256: Sha256::of(b"score"), tune: 0 })
    };
    assert_eq!(read, expected);
}

/// The score inside stays readable text, and comes out byte for byte whatever it holds.
#[test]
fn a_score_inside_comes_out_byte_for_byte() {
    let xml = b"<?xml version=\"1.0\"?>\r\n<a b='\\'>\t\xFF\x00</a>".to_vec();
    let written = piece(Source::Inside { name: "a.xml".to_owned(), bytes: xml.clone(), tune: 0 });
    let bytes = written.write().unwrap();
    assert!(String::from_utf8_lossy(&bytes).contains("<?xml version="));
    assert_eq!(Piece::read(&bytes).unwrap(), written);
    let every: Vec<u8> = (0..=255).collect();
    let written = piece(Source::Inside { name: String::new(), bytes: every, tune: 3 });
    assert_eq!(Piece::read(&written.write().unwrap()).unwrap(), written);
}

#[test]
fn what_can_not_be_is_refused_with_its_place() {
    let good = String::from_utf8(
        Piece {
            tempo: Some(Tempo::quarters(60.0).unwrap()),
            edits: vec![Edit::Preset { string: StringNumber::new(3).unwrap(), state: LeverState::Up }],
            ..piece(Source::File { path: "a".to_owned(), sha256: Sha256::of(b""), tune: 0 })
        }
        .write()
        .unwrap(),
    )
    .unwrap();
    assert!(Piece::read(good.as_bytes()).is_ok());
    for (from, to, said) in [
        ("version: 1", "version: 7", "newer Leverlane"),
        ("document: piece", "document: harp", "found a harp"),
        ("document: piece", "document: sonata", "line 2, column"),
        ("per_minute: 60.0", "per_minute: 1e300", "5 to 400"),
        ("per_minute: 60.0", "per_minute: NaN", "5 to 400"),
        ("per_minute: 60.0", "per_minute: fast", "column"),
        ("beat: \"1/1\"", "beat: \"0/1\"", "longer than nothing"),
        ("beat: \"1/1\"", "beat: \"-1/1\"", "longer than nothing"),
        ("beat: \"1/1\"", "beat: \"1/13\"", "as a ratio"),
        ("beat: \"1/1\"", "beat: \"9223372036854775807/1\"", "as a ratio"),
        ("pace: \"fluent\"", "pace: \"swift\"", "expected beginner"),
        ("string: 3", "string: 0", "edit 1, string"),
        ("string: 3", "string: 256", "column"),
        ("sha256: \"", "sha256: \"0", "64 hexadecimal"),
        ("tuning: \"Eb\"", "tuning: \"H\"", "harp.strings.preset.tuning"),
        ("count_in_bars: 1", "count_in_bars: -1", "column"),
        ("title:", "titel:", "column"),
    ] {
        assert!(good.contains(from), "{from} in {good}");
        let line = refusal(&good.replacen(from, to, 1));
        assert!(line.contains(said), "{to}: {line}");
    }
}

/// A passage and typed bars are pieces like any other: saved, loaded, opened.
#[test]
fn what_was_typed_is_saved_and_opened() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("passage.ron");
    let settings = PaperSettings {
        title: "From paper".to_owned(),
        meter: Meter::new(&[6], 8).unwrap(),
        tempo: Tempo::quarters(90.0).unwrap(),
        key: Key::from_fifths(1).unwrap(),
        bars: 16,
    };
    let flips = "bar 12 beat 2: C5 up\nbar 14 beat 1 1/3: C5 down right".to_owned();
    let mut piece = Piece::new("From paper", Source::Passage { settings, flips }, harp());
    piece.save(&path).unwrap();
    let loaded = Piece::load(&path).unwrap();
    assert_eq!(loaded, piece);
    assert!(is_document(&std::fs::read(&path).unwrap()));
    let music = loaded.open(folder.path(), &Limits::USUAL).unwrap();
    assert_eq!((music.score.title(), music.score.bars().len()), ("From paper", 16));
    let flips: Vec<_> =
        music.flips.unwrap().iter().map(|flip| (flip.bar.get(), flip.at.to_string(), flip.hand)).collect();
    // Beat 2 of 6/8 is a dotted quarter in; a third of the first is an eighth.
    assert_eq!(flips, [(11, "3/2".to_owned(), Hand::Left), (13, "1/2".to_owned(), Hand::Right)]);

    let typed = |right: &str| Source::Typed {
        settings: PassageSettings::default(),
        right: right.to_owned(),
        left: "C,8|".to_owned(),
    };
    piece.source = typed("CDEF GABc|");
    piece.save(&path).unwrap();
    let music = Piece::load(&path).unwrap().open(folder.path(), &Limits::USUAL).unwrap();
    assert_eq!((music.score.notes().count(), music.flips), (9, None));
    // The version before is kept beside it.
    let kept = Piece::load(&crate::files::previous_version(&path)).unwrap();
    assert!(matches!(kept.source, Source::Passage { .. }));

    piece.source = typed("CDEF\nGA^=Bc|");
    let Err(OpenError::Typed(error)) = piece.open(folder.path(), &Limits::USUAL) else { panic!("it can't be read") };
    assert_eq!((error.hand, error.line, error.column), (Some(Hand::Right), 2, 3));
}

/// The tune is chosen by its place; what is no document is not taken for one.
#[test]
fn a_tune_of_many_and_documents_told_apart() {
    let book = b"X:1\nT:One\nK:C\nC4|\n\nX:2\nT:Two\nK:C\nD4|\n".to_vec();
    let piece = piece(Source::Inside { name: "book.abc".to_owned(), bytes: book.clone(), tune: 1 });
    let music = piece.open(std::path::Path::new(""), &Limits::USUAL).unwrap();
    assert_eq!(music.score.title(), "Two");
    assert!(is_document(b" // ours\n(\n  // really\n document: harp"));
    assert!(!is_document(&book) && !is_document(b"<a/>") && !is_document(b"(version: 1)") && !is_document(b"//"));
}

fn any_flip() -> impl Strategy<Value = FlipName> {
    (1..=60u8, any::<bool>(), 0..2000usize, 0..10_000_000i64, 0..9u32).prop_map(
        |(string, up, bar, at, time_through)| FlipName {
            string: StringNumber::new(string).unwrap(),
            to: if up { LeverState::Up } else { LeverState::Down },
            needed_in: BarIndex::new(bar),
            needed_at: Ticks::new(at),
            time_through,
        },
    )
}

fn any_hand() -> impl Strategy<Value = Hand> {
    prop_oneof![Just(Hand::Left), Just(Hand::Right)]
}

fn any_edit() -> impl Strategy<Value = Edit> {
    prop_oneof![
        (any_flip(), 0..2000usize, 0..10_000_000i64).prop_map(|(flip, bar, at)| Edit::Place {
            flip,
            bar: BarIndex::new(bar),
            at: Ticks::new(at)
        }),
        (any_flip(), any_hand()).prop_map(|(flip, hand)| Edit::Hand { flip, hand }),
        any_flip().prop_map(|flip| Edit::Preset { string: flip.string, state: flip.to }),
        any_flip().prop_map(|flip| Edit::Forbid { flip }),
        (any_note(), 1..=60u8)
            .prop_map(|(note, string)| Edit::String { note, string: StringNumber::new(string).unwrap() }),
    ]
}

fn any_note() -> impl Strategy<Value = NoteName> {
    (0..2000usize, 0..10_000_000i64, 0..8i8).prop_map(|(bar, at, octave)| NoteName {
        bar: BarIndex::new(bar),
        at: Ticks::new(at),
        pitch: format!("Bb{octave}").parse().unwrap(),
    })
}

fn any_rewrite() -> impl Strategy<Value = Rewrite> {
    prop_oneof![
        (any_note(), any_hand()).prop_map(|(note, hand)| Rewrite::Hand { note, hand }),
        (any_note(), any::<i8>()).prop_map(|(note, up)| Rewrite::Octaves { note, up }),
        any_note().prop_map(|note| Rewrite::Drop { note }),
    ]
}

fn any_tempo() -> impl Strategy<Value = Option<Tempo>> {
    let dotted = Ticks::from_quarters(3, 2).unwrap();
    proptest::option::of(prop_oneof![
        (5.0..=400.0).prop_map(|bpm| Tempo::quarters(bpm).unwrap()),
        (4.0..=260.0).prop_map(move |bpm| Tempo::beats(dotted, bpm).unwrap()),
    ])
}

fn any_hands() -> impl Strategy<Value = HandRule> {
    let parts = || proptest::collection::vec(0..9usize, 0..4);
    let plain = prop_oneof![
        Just(HandRule::Usual),
        (parts(), 0..7i8).prop_map(|(parts, octave)| HandRule::SplitAt {
            parts,
            lowest_right: format!("F#{octave}").parse().unwrap()
        }),
        parts().prop_map(|parts| HandRule::ByStaff { parts }),
        parts().prop_map(|parts| HandRule::ByVoice { parts }),
        (parts(), parts()).prop_map(|(right, left)| HandRule::ByPart { right, left }),
        (parts(), any_hand()).prop_map(|(parts, hand)| HandRule::All { parts, hand }),
    ];
    plain.prop_recursive(2, 8, 3, |inner| {
        let range = (0..99usize, 0..99usize, inner.clone()).prop_map(|(first, last, rule)| BarHands {
            first: BarIndex::new(first),
            last: BarIndex::new(last),
            rule,
        });
        (inner, proptest::collection::vec(range, 0..3))
            .prop_map(|(otherwise, ranges)| HandRule::ByBars { otherwise: Box::new(otherwise), ranges })
    })
}

fn any_source() -> impl Strategy<Value = Source> {
    let meter = || {
        (proptest::collection::vec(1..9u8, 1..4), 0..4u32)
            .prop_map(|(groups, unit)| Meter::new(&groups, 1 << unit).unwrap())
    };
    let key = || (-7..=7i8).prop_map(|fifths| Key::from_fifths(fifths).unwrap());
    let tempo = || (5.0..=400.0).prop_map(|bpm| Tempo::quarters(bpm).unwrap());
    // The title of what was typed is the piece's.
    let title = String::new;
    let passage =
        (meter(), key(), tempo(), 0..2000usize, "(?s).*").prop_map(move |(meter, key, tempo, bars, flips)| {
            Source::Passage { settings: PaperSettings { title: title(), meter, tempo, key, bars }, flips }
        });
    let typed = (meter(), key(), tempo(), 0..999_999i64, "(?s).*", "(?s).*").prop_map(
        move |(meter, key, tempo, unit, right, left)| {
            let settings = PassageSettings { title: title(), meter, unit: Ticks::new(unit), key, tempo };
            Source::Typed { settings, right, left }
        },
    );
    let bytes = proptest::collection::vec(any::<u8>(), 0..300);
    prop_oneof![
        (".*", bytes, 0..9usize).prop_map(|(name, bytes, tune)| Source::Inside { name, bytes, tune }),
        (".*", any::<u64>(), 0..9usize).prop_map(|(path, seed, tune)| Source::File {
            path,
            sha256: Sha256::of(&seed.to_le_bytes()),
            tune
        }),
        passage,
        typed,
    ]
}

fn titled(mut source: Source, title: &str) -> Source {
    match &mut source {
        Source::Passage { settings, .. } => settings.title = title.to_owned(),
        Source::Typed { settings, .. } => settings.title = title.to_owned(),
        Source::Inside { .. } | Source::File { .. } => {}
    }
    source
}

fn any_pace() -> impl Strategy<Value = Pace> {
    prop_oneof![
        proptest::sample::select(PaceLevel::ALL.to_vec()).prop_map(Pace::Level),
        (50..=300u16).prop_map(|hundredths| Pace::Measured(PaceFactor::new(f64::from(hundredths) / 100.0).unwrap())),
    ]
}

fn any_piece() -> impl Strategy<Value = Piece> {
    let drill = (0..5usize, any::<u8>(), any_tempo()).prop_map(|(size, count_in_bars, tempo)| DrillSettings {
        chunk: [
            ChunkSize::FlipBar,
            ChunkSize::BarEachSide,
            ChunkSize::TwoBarsEachSide,
            ChunkSize::Bars { first: 2, last: 9 },
            ChunkSize::WholePiece,
        ][size],
        count_in_bars,
        tempo,
    });
    let choices = (any_hands(), proptest::option::of(0..9usize), any_tempo(), any_pace(), any::<bool>());
    let decisions = (proptest::collection::vec(any_edit(), 0..5), proptest::collection::vec(any_rewrite(), 0..3));
    (".*", any_source(), choices, decisions, drill).prop_map(
        |(title, source, (hands, cue_line, tempo, pace, again), (edits, rewrites), drill)| Piece {
            source: titled(source, &title),
            title,
            harp: harp(),
            hands,
            cue_line,
            tempo,
            pace,
            ending: if again { EndOfPiece::Loop } else { EndOfPiece::Stop },
            edits,
            rewrites,
            drill,
        },
    )
}

proptest! {
    #[test]
    fn every_piece_reads_back_as_it_was(piece in any_piece()) {
        let bytes = piece.write().unwrap();
        prop_assert_eq!(Piece::read(&bytes).unwrap(), piece);
    }
}
