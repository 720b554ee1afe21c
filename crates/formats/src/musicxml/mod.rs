//! MusicXML 4.0 (W3C): reading it, partwise and timewise; [`mod@write`]ing it; and [`mod@mark`]ing a file with lever marks.
//!
//! The way of a file: [`decode`] makes text of the bytes, [`screening`] refuses what would tie up a parser, [`document`]
//! parses within bounds, [`measures`] finds the parts and their measures whichever way round they stand, [`part`] goes
//! through each part with a cursor in exact fractions of a quarter ([`quarters`]), and [`bars`] puts together what the
//! parts say about the bars they share.
//!
//! How pickups are told: a short bar that completes the short one before it goes on counting there; else a short first
//! bar, or a short one that says `implicit`, lacks its beginning ([`leverlane_core::score::Bar::anacrusis`]).
//!
//! Parts are aligned by the index of their measures, never by printed numbers. A bar is as long as its longest content
//! in any part, else as its meter says. Meter and key are those of the first part on two staves, else of the first part
//! with notes; keys are given as they sound.
//!
//! Not supported, each told by a warning where it stands: notes without pitch, quarter tones (rounded),
//! key signatures that are none of the usual fifteen, `double` in a transposition, `measure-repeat` signs, repeat signs
//! in the middle of a bar. Not supported and passed over: `time-only` on notes, swing, `interchangeable` meters, a second
//! meter or key on another staff of the same part, dynamics and everything else that neither sounds nor
//! steers the way through the bars. Signs act at the bars' edges: a jump written in mid-bar is taken at the bar's end.

mod attributes;
mod bars;
mod beside;
mod decode;
mod direction;
mod document;
mod glissando;
mod lever_mark;
mod mark;
mod mark_elements;
mod measures;
mod note;
mod part;
mod quarters;
mod screening;
mod splice;
mod warnings;
mod write;

use leverlane_core::score::{Markings, PlayingOrder, Score};

use self::bars::BarReadings;
pub(crate) use self::document::parse as parse_xml;
pub use self::mark::{MarkedFile, Marking, mark, unmark};
use self::part::PartReading;
pub(crate) use self::warnings::Warnings;
pub use self::write::{MusicXmlFile, MusicXmlSource, OtherParts, bar_id, note_id, note_of_id, write_musicxml};
use crate::{Detail, ImportError, Imported, Limits, Said, said};

/// Reads a MusicXML file's bytes.
///
/// # Errors
/// Anything that is no MusicXML, goes beyond the limits, or holds nothing a harp could play.
pub(crate) fn read(bytes: &[u8], limits: &Limits, mut warnings: Warnings) -> Result<Imported, ImportError> {
    let text = decode::text_from_bytes(bytes)?;
    let document = document::parse(&text, limits)?;
    let root = document.root_element();
    let mut bars = BarReadings::default();
    let mut parts: Vec<PartReading> = Vec::new();
    let mut notes = 0;
    for source in measures::parts(root, limits)? {
        let part = part::read(&source, &mut bars, notes, limits, &mut warnings)?;
        notes += part.part.notes.len() + part.beside.cues();
        parts.push(part);
    }
    if bars.count() == 0 || parts.iter().all(|part| part.part.notes.is_empty()) {
        return Err(nothing_to_play(&parts, bars.count()));
    }
    let leading = leading_part(&parts);
    let meters = parts[leading..].iter().chain(&parts[..leading]).map(|part| &part.meters).find(|all| !all.is_empty());
    let keys = parts[leading..].iter().chain(&parts[..leading]).map(|part| &part.keys).find(|all| !all.is_empty());
    let (meters, keys) = (meters.cloned().unwrap_or_default(), keys.cloned().unwrap_or_default());
    let bars = bars.finish(&meters, &keys, &mut warnings);
    for silent in parts.iter().filter(|part| part.part.notes.is_empty()) {
        warnings.in_score(said!(
            "the part {name} has no pitched notes and is left out",
            name = document::quoted(&silent.part.name)
        ));
    }
    let mut markings = Markings::default();
    let sounding = parts.into_iter().filter(|part| !part.part.notes.is_empty());
    let with_notes = |(index, part): (usize, PartReading)| {
        if !part.beside.is_empty() {
            part.beside.finish(index, &bars, &mut markings, &mut warnings);
        }
        part.part
    };
    let parts = sounding.enumerate().map(with_notes).collect();
    let order = PlayingOrder::unroll(&bars, limits.played_bars).map_err(|error| {
        ImportError::LimitReached(Detail {
            place: Said::default(),
            found: said!("repeats and jumps that go on and on"),
            expected: said!("at most {most} played bars", most = error.limit),
            remedy: said!("check the counts of the repeats, or remove some"),
        })
    })?;
    warn_of_unplayed(&order, bars.len(), &mut warnings);
    let score = Score::new(measures::title(root), bars, parts).map_err(|error| {
        ImportError::Malformed(Detail {
            place: Said::default(),
            found: Said::quoted(error.to_string()),
            expected: said!("notes within their bars"),
            remedy: said!("export the piece again as MusicXML"),
        })
    })?;
    limits.allow_playing(&score, &order)?;
    Ok(Imported { score: score.with_markings(markings), order, warnings: warnings.finish() })
}

/// Bars that no way leads to: under an ending that is never reached, or after a jump with no way back.
fn warn_of_unplayed(order: &PlayingOrder, bars: usize, warnings: &mut Warnings) {
    let mut played = vec![false; bars];
    for bar in order.bars() {
        played[bar.get()] = true;
    }
    let mut bar = 0;
    for run in played.chunk_by(|one, next| one == next) {
        if run.first() == Some(&false) {
            let said = match run.len() {
                1 => said!("this bar is never played: no repeat, ending or jump leads there"),
                bars => said!("{bars} bars from here are never played: no repeat, ending or jump leads there", bars),
            };
            warnings.in_bar(bar, said);
        }
        bar += run.len();
    }
}

/// The part whose meters and keys are the score's: the first on two staves, else the first with notes.
fn leading_part(parts: &[PartReading]) -> usize {
    let plays = |part: &PartReading| !part.part.notes.is_empty();
    let two_staves = parts.iter().position(|part| plays(part) && part.part.staves >= 2);
    two_staves.or_else(|| parts.iter().position(plays)).unwrap_or(0)
}

fn nothing_to_play(parts: &[PartReading], bars: usize) -> ImportError {
    let unpitched: usize = parts.iter().map(|part| part.unpitched).sum();
    let (found, remedy) = if unpitched > 0 {
        (
            said!("only percussion ({unpitched} notes without a pitch)", unpitched),
            said!("choose a score with a pitched part"),
        )
    } else {
        (
            said!("an empty score ({bars} bars, no notes)", bars),
            said!("write some notes into it, or choose another file"),
        )
    };
    ImportError::NothingToPlay(Detail {
        place: Said::default(),
        found,
        expected: said!("at least one pitched note"),
        remedy,
    })
}
