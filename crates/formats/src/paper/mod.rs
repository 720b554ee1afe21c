//! Pieces that exist only on paper: a bare passage, entered as its flips.
//!
//! A player who has no file says the meter, the tempo and how many bars there are, and writes one flip after another as
//! she would say them: `bar 12 beat 4: C5 up`. That is enough to drill with click and cue. (For a few bars with their
//! notes see [`crate::abc::passage`].)
//!
//! ```text
//! line   = "bar" number "beat" beat ":" flip { "," flip }
//! beat   = 4 | 2.5 | 2 1/2 | 5/2          counted as the meter's beats, from 1
//! flip   = string ("up" | "down") [ "left" | "right" ]
//! string = letter and octave, such as C5
//! ```
//!
//! Capitals don't matter but in flats (`Bb4`), the colon may be left out, a comma may stand in its place, empty lines
//! and what follows a `#` at a line's beginning are passed over. The left hand flips unless another is named.

mod line;

use leverlane_core::meter::Meter;
use leverlane_core::pitch::Key;
use leverlane_core::plan::WantedFlip;
use leverlane_core::score::{Bar, BarIndex, Navigation, Part, PlayingOrder, Score, TempoMark};
use leverlane_core::time::{Tempo, Ticks};

use crate::{Detail, Imported, Limits, Said, said};

/// What a bare passage is, but for its flips.
#[derive(Clone, Debug, PartialEq)]
pub struct PaperSettings {
    /// What the piece is called.
    pub title: String,
    /// The meter of every bar.
    pub meter: Meter,
    /// The tempo.
    pub tempo: Tempo,
    /// The key signature: levers that no flip moves follow it.
    pub key: Key,
    /// How many bars; 1 or more.
    pub bars: usize,
}

/// A bare passage: bars without notes, and the flips wanted in them.
#[derive(Clone, Debug, PartialEq)]
pub struct BarePassage {
    /// The bars, in one part without notes.
    pub imported: Imported,
    /// The flips in the order of the text, for [`leverlane_core::plan::bare_plan`].
    pub flips: Vec<WantedFlip>,
}

/// A line that says no flip, and where, so that a caret can stand there.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{detail}")]
pub struct PaperError {
    /// The line, from 1; 0 for the settings.
    pub line: usize,
    /// The column in characters, from 1; 0 for the settings.
    pub column: usize,
    /// What is wrong.
    pub detail: Detail,
}

/// Reads the flips of a bare passage, one line after another.
///
/// # Errors
/// The first line that can't be understood, or names a bar or beat that the passage doesn't have; no bars, or more than
/// allowed.
pub fn bare_passage(text: &str, settings: &PaperSettings, limits: &Limits) -> Result<BarePassage, PaperError> {
    let refused = |found: Said, expected: Said, remedy: Said| PaperError {
        line: 0,
        column: 0,
        detail: Detail { place: said!("settings"), found, expected, remedy },
    };
    if settings.bars == 0 || settings.bars > limits.bars {
        let expected = said!("1 to {most}", most = limits.bars);
        return Err(refused(
            said!("{bars} bars", bars = settings.bars),
            expected,
            said!("say how many bars the passage has"),
        ));
    }
    if text.len() > limits.bytes {
        let (found, expected) =
            (said!("{text} bytes of text", text = text.len()), said!("at most {most}", most = limits.bytes));
        return Err(refused(found, expected, said!("split the passage")));
    }
    let mut flips = Vec::new();
    for (index, line) in text.lines().enumerate() {
        flips.extend(line::flips(line, index + 1, settings)?);
    }
    let bars: Vec<Bar> = (0..settings.bars).map(|index| bar(index, settings)).collect();
    let part = Part { name: String::new(), staves: 2, voices: Vec::new(), notes: Vec::new() };
    let score = Score::new(settings.title.clone(), bars, vec![part]).map_err(|error| {
        refused(Said::quoted(error.to_string()), said!("bars of some length"), said!("choose another meter"))
    })?;
    let order = PlayingOrder::as_written(&score);
    Ok(BarePassage { imported: Imported { score, order, warnings: Vec::new() }, flips })
}

fn bar(index: usize, settings: &PaperSettings) -> Bar {
    let opening = TempoMark { at: Ticks::ZERO, tempo: settings.tempo };
    Bar {
        number: (index + 1).to_string(),
        length: settings.meter.bar_length(),
        meter: settings.meter.clone(),
        anacrusis: Ticks::ZERO,
        key: settings.key,
        tempo_marks: if index == 0 { vec![opening] } else { Vec::new() },
        navigation: Navigation::default(),
    }
}

/// The bar of a number as printed; they are counted from 1.
fn bar_of_number(number: usize, settings: &PaperSettings) -> Option<BarIndex> {
    (1..=settings.bars).contains(&number).then(|| BarIndex::new(number - 1))
}

#[cfg(test)]
mod tests;
