//! Passes for a diary.

use leverlane_core::drill::{ChunkSize, CueLevel, Day, Layer};
use leverlane_core::harp::{LeverState, StringNumber};
use leverlane_core::time::Tempo;
use leverlane_core::verdict::{FlipOutcome, Steadiness};
use leverlane_diary::{Diary, FlipId, FlipName, PassRecord, PieceName, SessionId};

/// A pass of one day at so many quarter notes a minute; its goal is 80.
#[expect(clippy::expect_used, reason = "the tests ask for tempos that can be played")]
pub fn pass(day: Day, quarters_a_minute: f64, steady: Steadiness) -> PassRecord {
    let tempo = |quarters| Tempo::quarters(quarters).expect("a tempo that can be played");
    PassRecord {
        at: i64::from(day.get()) * 86_400 + 36_000,
        day,
        lasted_ms: 9_000,
        tempo: tempo(quarters_a_minute),
        goal: tempo(80.0),
        clean_to_hold: 3,
        layer: Layer::Both,
        size: ChunkSize::BarEachSide,
        cues: CueLevel::Everything,
        steady,
        outcome: if steady == Steadiness::Steady { FlipOutcome::Clean } else { FlipOutcome::Missed },
        notes: [20, 0, 0],
        bias_us: Some(-18_000),
        spread_us: Some(21_000),
        hesitation_us: Some(40_000),
        hesitation_of_beat: Some(53),
    }
}

/// A flip of some bar of a piece, entered.
#[expect(clippy::expect_used, reason = "a diary made for a test can be written")]
pub fn flip_of(diary: &mut Diary, piece: &str, bar: u32) -> FlipId {
    let name = PieceName { title: piece.to_owned(), digest: format!("digest of {piece}") };
    let piece = diary.piece(&name).expect("a new diary can be written");
    let string = StringNumber::new(13).expect("not 0");
    let at_ticks = i64::from(bar) * 443_520;
    let words = format!("bar {}, beat 4: C5 up", bar + 1);
    let flip = FlipName { played_bar: bar, at_ticks, string, to: LeverState::Up, words };
    diary.flip(piece, &flip).expect("a new diary can be written")
}

/// A session and a flip to write passes for.
#[expect(clippy::expect_used, reason = "a diary made for a test can be written")]
pub fn entered(diary: &mut Diary) -> (SessionId, FlipId) {
    let flip = flip_of(diary, "A piece", 11);
    (diary.session(0).expect("a new diary can be written"), flip)
}
