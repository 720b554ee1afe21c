//! From a selected flip to what is looped.

use leverlane_core::drill::{Chunk, ChunkError, ChunkRequest, ChunkSize, Timeline, TimelineOptions};
use leverlane_core::plan::{HandPace, Pace};
use leverlane_core::time::Tempo;

use crate::state::{Loop, Piece, Planned};

/// Bars counted in before the first pass.
const COUNT_IN_BARS: u8 = 1;

/// The loop around a gesture of the plan at a practice tempo; bars of the player's
/// own, or else the whole piece, where no flip is selected.
///
/// `tempo` is the one the piece would begin with; a chunk from later on begins with the tempo in force there, in the
/// same proportion to the written one.
///
/// # Errors
/// A tempo that takes some part of the loop out of the playable range.
pub fn make_loop(
    piece: &Piece,
    planned: &Planned,
    selected: Option<usize>,
    size: ChunkSize,
    tempo: Tempo,
    pace: Pace,
) -> Result<Loop, ChunkError> {
    make_cued_loop(piece, planned, selected, size, tempo, pace, TimelineOptions::default())
}

/// The same, cued and spoken as the options say; what is counted in is always the same.
///
/// # Errors
/// As [`make_loop`].
pub fn make_cued_loop(
    piece: &Piece,
    planned: &Planned,
    selected: Option<usize>,
    size: ChunkSize,
    tempo: Tempo,
    pace: Pace,
    options: TimelineOptions,
) -> Result<Loop, ChunkError> {
    let performance = &piece.performance;
    let pace = HandPace::from(pace);
    let request = |tempo| ChunkRequest { performance, plan: &planned.plan, harp: &planned.harp, pace: &pace, tempo };
    let chunk = match selected {
        None => match size {
            ChunkSize::Bars { first, last } => Chunk::of_bars(&request(tempo), first as usize..=last as usize)?,
            _ => Chunk::whole(&request(tempo))?,
        },
        Some(flip) => {
            let found = Chunk::around(&request(tempo), flip, size)?;
            let written = performance.tempo();
            let there = written.tempo_at(found.starts);
            let factor = tempo.quarters_per_minute() / written.opening().quarters_per_minute();
            let opening = Tempo::beats(there.beat(), there.per_minute() * factor)?;
            if opening == tempo { found } else { Chunk::around(&request(opening), flip, size)? }
        }
    };
    let options = TimelineOptions { count_in_bars: COUNT_IN_BARS, ..options };
    let timeline = Timeline::of(&chunk, performance, &planned.plan, options);
    Ok(Loop { tempo, chunk, timeline, asked: None, looks: Vec::new() })
}
