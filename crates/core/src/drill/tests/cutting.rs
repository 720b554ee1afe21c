//! Which bars, which levers, which resets.

use super::*;

/// Six bars of 4/4, the left hand playing C3 on every downbeat; F4 up in bar 2 for a pluck in bar 4.
fn six_bars() -> Piece {
    let four = Meter::common();
    let notes = (0..6).map(|bar| note(bar, Ticks::ZERO, "C3", 2)).collect();
    let mut piece = Piece::new(vec![bar(&four); 6], notes);
    piece.flip(quarters(9, 1), "F4", LeverState::Up, quarters(17, 1));
    piece
}

/// By counting bars: the flip falls in bar 2, its string is plucked in bar 4.
#[test]
fn a_chunk_reaches_the_first_pluck_of_the_flipped_string() {
    let piece = six_bars();
    let extent = |size| {
        let chunk = Chunk::around(&piece.request(), 0, size).unwrap();
        (chunk.first, chunk.last)
    };
    assert_eq!(extent(ChunkSize::FlipBar), (2, 4));
    assert_eq!(extent(ChunkSize::BarEachSide), (1, 4));
    assert_eq!(extent(ChunkSize::TwoBarsEachSide), (0, 4));
    assert_eq!(extent(ChunkSize::WholePiece), (0, 5));
}

#[test]
fn what_is_not_there_is_refused() {
    let piece = six_bars();
    let request = piece.request();
    let error = Chunk::around(&request, 1, ChunkSize::FlipBar).unwrap_err();
    assert_eq!(error, ChunkError::NoSuchGesture { found: 1, gestures: 1 });
    assert_eq!(error.to_string().lines().count(), 1);
    for bars in [5..=6, 6..=7] {
        assert!(matches!(Chunk::of_bars(&request, bars), Err(ChunkError::NoSuchBars { bars: 6, .. })));
    }
    #[expect(clippy::reversed_empty_ranges, reason = "the wrong order is what is asked for")]
    let backwards = Chunk::of_bars(&request, 3..=2);
    assert!(backwards.is_err());
}

/// A flip on the first bar line belongs to the pass and is not in its start setting; one on the closing bar line is
/// neither made nor reset.
#[test]
fn the_start_setting_is_that_before_the_first_instant() {
    let mut piece = six_bars();
    piece.flip(quarters(4, 1), "C4", LeverState::Up, quarters(5, 1));
    piece.flip(quarters(12, 1), "G4", LeverState::Up, quarters(13, 1));
    piece.flip(quarters(2, 1), "A4", LeverState::Up, quarters(3, 1));
    let chunk = Chunk::of_bars(&piece.request(), 1..=2).unwrap();
    assert_eq!(chunk.gestures, 1..3);
    let up: Vec<_> = chunk.start.levers().filter(|&(_, state)| state == LeverState::Up).map(|(s, _)| s).collect();
    assert_eq!(up, [piece.string("A4")]);
    let reset: Vec<_> = chunk.resets.iter().flat_map(|gesture| &gesture.flips).map(|flip| flip.string).collect();
    assert_eq!(reset, [piece.string("F4"), piece.string("C4")]);
}

#[test]
fn nothing_is_counted_at_a_seam_where_the_levers_end_as_they_start() {
    let mut piece = six_bars();
    piece.flip(quarters(21, 1), "F4", LeverState::Down, quarters(23, 1));
    let chunk = Chunk::whole(&piece.request()).unwrap();
    assert_eq!((chunk.seam.len(), chunk.resets.len()), (0, 0));
    assert_eq!(chunk.pass_length(), quarters(24, 1));
}

/// The times of the pace, fluent (common practice, see `HandPace`): from one lever to the next 0.4 s, a further lever
/// in the same motion 0.15 s. At 120 a minute a beat of 4/4 lasts 0.5 s.
///
/// The hand has flipped 1 s before the closing bar line, so it is at the levers: the first reset (F4 and G4 together,
/// 0.55 s) is possible on the first beat, the next (C4, 0.4 s) on the second, and 1 s is left to come back.
#[test]
fn resets_take_the_time_the_hand_needs() {
    let four = Meter::common();
    let mut piece = Piece::new(vec![bar(&four); 2], vec![note(0, Ticks::ZERO, "C3", 2)]);
    piece.tempo = Tempo::quarters(120.0).unwrap();
    for (at, open) in [(4, "G4"), (5, "F4"), (6, "C4")] {
        piece.flip(quarters(at, 1), open, LeverState::Up, quarters(7, 1));
    }
    let chunk = Chunk::whole(&piece.request()).unwrap();
    let full = SeamBar { meter: four, anacrusis: Ticks::ZERO, length: quarters(4, 1) };
    assert_eq!(chunk.seam, [full]);
    let places: Vec<_> = chunk.resets.iter().map(|gesture| gesture.at.since_start().quarters()).collect();
    assert_eq!(places, [0.0, 1.0]);
    let strings: Vec<Vec<_>> =
        chunk.resets.iter().map(|gesture| gesture.flips.iter().map(|flip| flip.string).collect()).collect();
    assert_eq!(strings, [vec![piece.string("G4"), piece.string("F4")], vec![piece.string("C4")]]);
    // 0.5 s from one to the other against the 0.4 s needed; 1.0 s before the first against 0.55 s.
    let first = &chunk.resets[0];
    let share = first.available.unwrap().get() / first.needed.get();
    assert!((share - 0.5 / 0.4).abs() < 1e-9, "{share}");
    assert!((first.top_tempo.unwrap().quarters_per_minute - 120.0 * share).abs() < 1e-9);
    assert!(chunk.resets.iter().all(|gesture| !gesture.is_rushed() && gesture.hand == Hand::Left));
    // Counted from the closing bar line: the next pass plucks C3 first thing, 4 quarters later, and no lever's string.
    assert_eq!(first.flips[0].window, Window { after: None, before: ScoreTime::from_start(quarters(4, 1)) });
}

/// At 400 a minute a beat of 4/4 lasts 0.15 s and a bar 0.6 s. A beginner's hand needs 1.75 · 0.4 = 0.7 s from its flip,
/// three beats before the closing bar line, to the reset: on the third beat after that line. Back from there it needs
/// about 1.75 · 0.49 = 0.85 s (`HandPace`, over the 288 mm that the nominal places give): 1.15 s, so two bars.
#[test]
fn as_many_whole_bars_as_needed() {
    let mut piece = six_bars();
    piece.tempo = Tempo::quarters(400.0).unwrap();
    piece.pace = HandPace::from(PaceLevel::Beginner);
    let chunk = Chunk::of_bars(&piece.request(), 2..=2).unwrap();
    assert_eq!(chunk.seam.len(), 2);
    assert_eq!(chunk.resets[0].at, ScoreTime::from_start(quarters(2, 1)));
    assert!(chunk.seam.iter().all(|bar| bar.length == quarters(4, 1)));
    assert!(!chunk.resets[0].is_rushed());
}

/// The tempo opens at what is asked for, keeps the piece's proportions, and stays at the seam what it was at the end.
#[test]
fn the_tempo_keeps_its_proportions() {
    let four = Meter::common();
    let mut bars = vec![bar(&four); 3];
    let mark = |tempo| vec![TempoMark { at: Ticks::ZERO, tempo: Tempo::quarters(tempo).unwrap() }];
    bars[0].tempo_marks = mark(100.0);
    bars[1].tempo_marks = mark(50.0);
    bars[2].tempo_marks = mark(200.0);
    let mut piece = Piece::new(bars, Vec::new());
    piece.flip(quarters(1, 1), "F4", LeverState::Up, quarters(2, 1));
    let chunk = Chunk::of_bars(&piece.request(), 0..=1).unwrap();
    let at = |n| chunk.tempo.tempo_at(ScoreTime::from_start(quarters(n, 1))).quarters_per_minute();
    assert_eq!([at(0), at(3), at(4), at(8), at(11)], [60.0, 60.0, 30.0, 30.0, 30.0]);
    let fast = ChunkRequest { tempo: Tempo::quarters(390.0).unwrap(), ..piece.request() };
    assert!(matches!(Chunk::of_bars(&fast, 1..=2), Err(ChunkError::Tempo(_))));
}
