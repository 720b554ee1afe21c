//! A few bars typed for both hands: the body of a tune without its header.

use leverlane_core::meter::Meter;
use leverlane_core::pitch::Key;
use leverlane_core::score::Hand;
use leverlane_core::time::{Tempo, Ticks};

use super::lower::{Refused, lower};
use super::parser::read_tune;
use super::source::{Origin, SourceLine};
use crate::{Gap, ImportError, Imported, Limits, Said, said};

/// What a tune's header would say.
#[derive(Clone, Debug, PartialEq)]
pub struct PassageSettings {
    /// What the piece is called.
    pub title: String,
    /// The meter.
    pub meter: Meter,
    /// How long a note without a number is.
    pub unit: Ticks,
    /// The key signature.
    pub key: Key,
    /// The tempo.
    pub tempo: Tempo,
}

impl Default for PassageSettings {
    /// 4/4 in eighths without sharps or flats, at the tempo of scores that name none.
    fn default() -> PassageSettings {
        PassageSettings {
            title: String::new(),
            meter: Meter::common(),
            unit: Ticks::new(Ticks::PER_QUARTER / 2),
            key: Key::NATURAL,
            tempo: Tempo::UNWRITTEN,
        }
    }
}

/// A passage that can't be read, and where, so that a caret can stand there.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{error}")]
pub struct PassageError {
    /// Whose text it is in; none where it is in neither alone.
    pub hand: Option<Hand>,
    /// The line in that text, from 1; 0 where it is in neither alone.
    pub line: usize,
    /// The column in that line, in characters from 1; 0 where it is in neither alone.
    pub column: usize,
    /// What is wrong.
    pub error: Box<ImportError>,
}

/// Reads what was typed for each hand, as ABC bodies, into one part on two staves. Either text may be empty; inline
/// fields such as `[K:G]` and field lines may change the settings on the way.
///
/// # Errors
/// What can't be read, with its hand, line and column; no notes at all; a unit of no length.
pub fn passage(right: &str, left: &str, settings: &PassageSettings, limits: &Limits) -> Result<Imported, PassageError> {
    let header = header(settings);
    let of_settings = |text| SourceLine { origin: Origin::Settings, number: 1, first_column: 1, text };
    let lines = header
        .iter()
        .map(|line| of_settings(line.as_str()))
        .chain([of_settings("V:right")])
        .chain(typed(right, Origin::RightHand))
        .chain([of_settings("V:left")])
        .chain(typed(left, Origin::LeftHand));
    let read = read_tune(lines, limits).map_err(Refused::from).and_then(|tune| lower(tune, limits));
    let mut imported = read.map_err(located)?;
    for warning in &mut imported.warnings {
        // Bar counts differ between hands while the second is being typed.
        if let Some(said) = of_hand(&warning.reason) {
            warning.reason = said;
        }
    }
    Ok(imported)
}

/// What is told of a voice, told of the hand that it stands for here.
fn of_hand(said: &Said) -> Option<Said> {
    let gap = |name| said.gaps().iter().find(|&&(gap, _)| gap == name).map(|(_, fills)| fills.clone());
    match (gap("name")?, gap("bars")?, gap("count")?) {
        (Gap::Text(voice), Gap::Number(bars), Gap::Number(count)) => Some(match voice.as_str() {
            "right" => said!("the right hand has {bars} bars where the left has {count}", bars, count),
            _ => said!("the left hand has {bars} bars where the right has {count}", bars, count),
        }),
        _ => None,
    }
}

fn typed(text: &str, origin: Origin) -> impl Iterator<Item = SourceLine<'_>> {
    text.lines()
        .enumerate()
        .map(move |(index, text)| SourceLine { origin, number: index + 1, first_column: 1, text })
        .filter(|line| !line.text.trim().is_empty())
}

fn located(refused: Refused) -> PassageError {
    let Refused { place, error } = refused;
    let hand = place.and_then(|place| match place.origin {
        Origin::RightHand => Some(Hand::Right),
        Origin::LeftHand => Some(Hand::Left),
        Origin::File | Origin::Settings => None,
    });
    let (line, column) = place.filter(|_| hand.is_some()).map_or((0, 0), |place| (place.line, place.column));
    PassageError { hand, line, column, error }
}

fn header(settings: &PassageSettings) -> Vec<String> {
    // Major keys from seven flats to seven sharps.
    const KEYS: [&str; 15] = ["Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"];
    let share_of_whole = |length: Ticks| {
        let (numerator, denominator) = length.quarters_ratio();
        format!("{numerator}/{}", 4 * denominator)
    };
    let key = usize::try_from(settings.key.fifths() + 7).ok().and_then(|place| KEYS.get(place)).unwrap_or(&"C");
    let title: String = settings.title.chars().map(|c| if c.is_control() || c == '%' { ' ' } else { c }).collect();
    vec![
        format!("T:{title}"),
        format!("M:{}", settings.meter),
        format!("L:{}", share_of_whole(settings.unit)),
        format!("Q:{}={}", share_of_whole(settings.tempo.beat()), settings.tempo.per_minute()),
        "V:right clef=treble".to_owned(),
        "V:left clef=bass".to_owned(),
        format!("K:{key}"),
    ]
}
