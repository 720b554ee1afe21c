//! Standard MIDI files in and out.
//!
//! ```text
//! bytes → read (notes and events) → grid (bars) → quantise (places) → parts (hands, ties) ┐
//!                                            key (estimated where the file is silent) → spell → Imported
//! ```
//!
//! Formats 0 and 1 are read. What the file says about meter, tempo and key is the grid; where the notes themselves lie
//! on it, every tick is kept, otherwise they are moved to it and the warnings say by how much. Two channels or tracks
//! with notes become the two staves of one part, the higher one on top; more become parts of their own; a single one
//! stays on one staff, to be split between the hands by the usual rule. Not read: the sustain pedal, loudness, pitch
//! bend, programs, lyrics, markers and repeats (a MIDI file is always written out as played); drums are left out with
//! a warning.
//!
//! [`write_midi`] goes the other way.

mod beats;
mod clusters;
mod grid;
mod key;
mod parts;
mod quantise;
mod read;
mod sounding;
mod spell;
mod write;
mod written;

pub use self::write::{MidiFile, MidiSource, MidiWriteError, write_midi};

use leverlane_core::pitch::Key;
use leverlane_core::score::{BarIndex, PlayingOrder, Score};
use leverlane_core::time::{ScoreTime, Tempo, TempoMap, Ticks};

use self::grid::{Grid, STANDARD_TEMPO, score_ticks};
use self::quantise::{Decision, PlacedNote};
use self::read::Recording;
use crate::{Detail, ImportError, Imported, Limits, Said, Warning, said};

/// Reads a standard MIDI file.
///
/// # Errors
/// A damaged or cut-off file, format 2, times in film frames, a division of 0, more notes or bars than the limits
/// allow, or no notes at all.
pub fn read_midi(bytes: &[u8], limits: &Limits) -> Result<Imported, ImportError> {
    let mut recording = read::read(bytes, limits)?;
    if recording.streams.is_empty() {
        return Err(ImportError::NothingToPlay(Detail {
            place: Said::default(),
            found: said!("a MIDI file without pitched notes"),
            expected: said!("notes on a channel other than 10"),
            remedy: said!("export the harp's own tracks"),
        }));
    }
    let mut warnings = std::mem::take(&mut recording.warnings);
    let mut grid = Grid::new(&recording, limits, &mut warnings)?;
    // Room for a last note that was played late.
    grid.fit_to(grid.end() + Ticks::new(1));
    let clock = clock(&recording);
    let (placed, decision) = quantise::quantise(&recording, &grid, &clock);
    warnings.extend(decision.told());
    let reach = |note: &PlacedNote| note.end.max(note.onset + Ticks::new(1));
    grid.fit_to(placed.iter().flatten().map(reach).max().unwrap_or(Ticks::ZERO));
    let keys = keys(&recording, &placed, &mut warnings);
    let title = recording.title.clone();
    let spans = grid.spans();
    let bars = grid.into_bars(&recording, &keys, &mut warnings);
    let parts = parts::parts(&recording, &placed, &bars, &spans, limits)?;
    let score = Score::new(title, bars, parts).map_err(|error| {
        ImportError::Malformed(Detail {
            place: Said::default(),
            found: Said::quoted(error.to_string()),
            expected: said!("notes inside bars"),
            remedy: said!("export the file again"),
        })
    })?;
    warnings.sort_by_key(|warning| warning.bar);
    let order = PlayingOrder::as_written(&score);
    Ok(Imported { score, order, warnings })
}

/// The tempo of the file; tempos that can't be played are passed over (the grid tells of them).
fn clock(recording: &Recording) -> TempoMap {
    let tempo = |micros: u32| Tempo::quarters(60e6 / f64::from(micros));
    let changes: Vec<(ScoreTime, Tempo)> = recording
        .tempos
        .iter()
        .filter_map(|&(at, micros)| {
            let (at, _) = score_ticks(at, recording.division);
            Some((ScoreTime::from_start(at), tempo(micros).ok()?))
        })
        .collect();
    TempoMap::with_changes(tempo(STANDARD_TEMPO).unwrap_or(Tempo::UNWRITTEN), &changes)
}

/// How much better than C major or A minor another key must fit before a file that names no key, or only the C major
/// that sequencers write by themselves, is read in it. A difference of correlations.
const CLEARLY_BETTER: f64 = 0.1;

/// The key signatures: the file's own where it names any but C major; otherwise the one that the notes show, if they
/// show it clearly.
fn keys(recording: &Recording, placed: &[Vec<PlacedNote>], warnings: &mut Vec<Warning>) -> Vec<(u64, Key)> {
    let named: Vec<(u64, Key)> =
        recording.keys.iter().filter_map(|&(at, fifths)| Some((at, Key::from_fifths(fifths)?))).collect();
    let impossible = recording.keys.len() - named.len();
    let mut warn = |reason: Said| warnings.push(Warning { bar: None, reason });
    if impossible > 0 {
        warn(said!("{impossible} key signatures of more than seven accidentals were left out", impossible));
    }
    if named.iter().any(|&(_, key)| key != Key::NATURAL) {
        return named;
    }
    let sounding = placed.iter().flatten().map(|note| (note.key, note.end - note.onset));
    let Some(estimate) = key::estimate(sounding) else { return named };
    if estimate.key == Key::NATURAL || estimate.fit - estimate.fit_of_naturals < CLEARLY_BETTER {
        return named;
    }
    let signs = match estimate.key.fifths() {
        fifths @ 1.. => said!("{fifths} sharps", fifths),
        fifths => said!("{fifths} flats", fifths = -fifths),
    };
    let says = if named.is_empty() { said!("the file names no key") } else { said!("the file names only C major") };
    warn(said!("{says}; by its notes it was read with a signature of {signs}", says, signs));
    vec![(0, estimate.key)]
}

impl Decision {
    /// What the player should know about it.
    fn told(self) -> Option<Warning> {
        let reason = match self {
            Decision::Kept { rounded: 0 } => return None,
            Decision::Kept { rounded } => {
                said!("{rounded} notes begin or end a hair beside a division of the beat and were moved to it", rounded)
            }
            Decision::EndsMoved => said!("notes end between the beats' divisions: their ends were moved to them"),
            Decision::Moved { mean, most, rolled } => said!(
                "played freely: notes were moved to the beats' divisions by {mean} ms on average and {most} ms at most, \
                 and {rolled} chords were read as rolled",
                mean = format!("{:.0}", mean.get() * 1000.0),
                most = format!("{:.0}", most.get() * 1000.0),
                rolled
            ),
        };
        Some(Warning { bar: None, reason })
    }
}

/// Where a bar begins and ends, from the start of the file.
#[derive(Clone, Copy, Debug)]
struct BarSpan {
    bar: BarIndex,
    start: Ticks,
    end: Ticks,
}
