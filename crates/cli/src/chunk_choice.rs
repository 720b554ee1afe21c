//! Arguments about the bars that are drilled.

use leverlane_core::drill::{Chunk, ChunkRequest};
use leverlane_core::score::{PlayedBar, Score};

use crate::planned::{PlanChoice, Planned};
use crate::refusal::Refusal;

/// The chunk that `A-B` names, the whole piece where nothing is named. It opens at the tempo that was asked for.
///
/// # Errors
/// Bars that the piece doesn't have, or a tempo that a later part of the chunk can't follow.
pub fn chunk(bars: Option<&str>, choice: &PlanChoice, planned: &Planned) -> Result<Chunk, Refusal> {
    let refused = |error: String| Refusal::of_file(&choice.score.file(), error);
    let bars = match bars {
        None => 0..=planned.performance.bars().len().saturating_sub(1),
        Some(text) => bars_named(text, planned).ok_or_else(|| {
            let numbers = |played: Option<&PlayedBar>| played.map_or("", |bar| number(&planned.score, bar));
            let played = planned.performance.bars();
            refused(format!(
                "bars \"{text}\" are not in the piece, expected printed numbers from {} to {}, the earlier first; give \
                 --bars such numbers",
                numbers(played.first()),
                numbers(played.last())
            ))
        })?,
    };
    let opening = planned.performance.bars().get(*bars.start()).map(|bar| planned.tempo.tempo_at(bar.starts));
    let request = ChunkRequest {
        performance: &planned.performance,
        plan: &planned.plan,
        harp: &planned.harp,
        pace: &planned.pace,
        tempo: choice.tempo.or(opening).unwrap_or_else(|| planned.tempo.opening()),
    };
    Chunk::of_bars(&request, bars).map_err(|error| refused(format!("{error}; change --bars or --tempo")))
}

/// What is printed at a bar.
pub fn number<'a>(score: &'a Score, played: &PlayedBar) -> &'a str {
    score.bar(played.bar).map_or("", |bar| &bar.number)
}

/// The played bars that `A-B` or `A` names: the first A, and the first B from there on. Printed numbers may themselves
/// hold hyphens, so every one is tried.
fn bars_named(text: &str, planned: &Planned) -> Option<std::ops::RangeInclusive<usize>> {
    let played = planned.performance.bars();
    let find = |wanted: &str, from: usize| {
        (from..played.len()).find(|&index| number(&planned.score, &played[index]) == wanted.trim())
    };
    let pairs = text.match_indices('-').map(|(at, _)| (&text[..at], &text[at + 1..]));
    std::iter::once((text, text)).chain(pairs).find_map(|(from, to)| {
        let first = find(from, 0)?;
        Some(first..=find(to, first)?)
    })
}
