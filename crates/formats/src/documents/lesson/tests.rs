//! Lessons and results there and back, and what is refused.

use leverlane_core::drill::Day;
use leverlane_core::harp::{LeverState, StringNumber};
use leverlane_core::score::BarIndex;
use leverlane_core::time::{Tempo, Ticks};

use super::*;
use crate::documents::{DayResult, FlipResult, Results};

const PIECE: &str = r#"(
        document: piece,
        version: 1,
        title: "Greensleeves",
        source: inside(name: "a.abc", content: b"X:1\nK:C\nC"),
        harp: (strings: preset(strings: 34, tuning: "C")),
        pace: "improver",
    )"#;

fn tempo(beats: f64) -> Tempo {
    Tempo::quarters(beats).unwrap()
}

fn lesson() -> Lesson {
    Lesson {
        title: "The G levers".to_owned(),
        note: "Left hand alone first.\nStop if anything hurts.".to_owned(),
        piece: Piece::read(PIECE.as_bytes()).unwrap(),
        chunks: vec![LessonChunk {
            flip: FlipName {
                string: StringNumber::new(16).unwrap(),
                to: LeverState::Up,
                needed_in: BarIndex::new(3),
                needed_at: Ticks::from_quarters(9, 4).unwrap(),
                time_through: 0,
            },
            size: ChunkSize::BarEachSide,
            layer: Layer::FlippingHand,
            ladder: LadderPlan::new(
                tempo(50.0),
                tempo(72.0),
                tempo(72.0),
                RungStep::PerCent(5.0),
                3,
                Scheme::Alternate,
            )
            .unwrap(),
        }],
    }
}

fn results() -> Results {
    let day = |day, held| DayResult { day: Day::new(day), passes: 31, judged: 29, clean: 21, held };
    Results {
        student: "Ann".to_owned(),
        lesson: "The G levers".to_owned(),
        piece: "Greensleeves".to_owned(),
        flips: vec![FlipResult {
            flip: "bar 4, beat 2: G4 up".to_owned(),
            days: vec![day(20_782, Some(tempo(66.0))), day(20_783, None)],
        }],
    }
}

#[test]
fn there_and_back() {
    let written = lesson().write().unwrap();
    assert_eq!(Lesson::read(&written, &Limits::USUAL).unwrap(), lesson());
    let written = results().write().unwrap();
    assert_eq!(Results::read(&written, &Limits::USUAL).unwrap(), results());
}

/// Each is refused with one line that holds the given word.
#[test]
fn what_can_not_be_is_refused_in_one_line() {
    let good = String::from_utf8(lesson().write().unwrap()).unwrap();
    let bent = |from: &str, to: &str| {
        assert!(good.contains(from), "{from} in {good}");
        good.replace(from, to)
    };
    let cases = [
        (bent("    version: 1,\n    title: \"The", "    version: 9,\n    title: \"The"), "newer"),
        (bent("document: lesson", "document: harp"), "harp"),
        (bent("per_minute: 50.0", "per_minute: 1e300"), "5 to 400"),
        (bent("per_minute: 50.0", "per_minute: 99.0"), "no faster than the goal"),
        (bent("per_minute: 50.0", "per_minute: \"fast\""), "line"),
        (bent("clean_to_climb: 3", "clean_to_climb: 999999999999"), "line"),
        (bent("clean_to_climb: 3", "clean_to_climb: 0"), "clean passes"),
        (bent("per_cent(5.0)", "per_cent(NaN)"), "step"),
        (bent("string: 16", "string: 0"), "string"),
        (bent("needed_at: \"9/4\"", "needed_at: \"9/0\""), "quarter notes"),
        (bent("note:", "footnote:"), "line"),
        (good[..good.len() / 2].to_owned(), "line"),
        (String::new(), "line"),
        ("(".repeat(100_000), "line"),
    ];
    for (text, word) in cases {
        let error = Lesson::read(text.as_bytes(), &Limits::USUAL).unwrap_err().to_string();
        assert!(error.contains(word) && error.lines().count() == 1, "{word}: {error}");
    }
    let good = String::from_utf8(results().write().unwrap()).unwrap();
    for (from, to, word) in [
        ("clean: 21", "clean: 99", "no more clean"),
        ("day: 20782", "day: 2000000000", "1970 to 2500"),
        ("passes: 31", "passes: -1", "line"),
        ("held: 66.0", "held: inf", "5 to 400"),
        ("\"Ann\"", "\"Ann\\nBob\"", "one line"),
        ("version: 1", "version: 2", "newer"),
    ] {
        let error = Results::read(good.replacen(from, to, 1).as_bytes(), &Limits::USUAL).unwrap_err().to_string();
        assert!(error.contains(word) && error.lines().count() == 1, "{from}: {error}");
    }
}

/// 100 MB of anything: refused by its size before it is looked at.
#[test]
fn a_hundred_megabytes_are_refused_at_once() {
    let garbage = vec![0xA7_u8; 100 << 20];
    for error in [
        Lesson::read(&garbage, &Limits::USUAL).unwrap_err().to_string(),
        Results::read(&garbage, &Limits::USUAL).unwrap_err().to_string(),
    ] {
        assert!(error.contains("104857600 bytes") && error.lines().count() == 1, "{error}");
    }
}
