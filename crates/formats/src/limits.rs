//! How much a file may ask for.

use crate::{Said, said};
use leverlane_core::score::{PlayingOrder, Score};

use crate::error::{Detail, ImportError};

/// Bounds on what is read, so that no file can exhaust the machine. All are inclusive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Bytes of the file itself.
    pub bytes: usize,
    /// Bytes of a score taken out of an archive.
    pub unpacked_bytes: usize,
    /// Nodes of an XML document.
    pub nodes: u32,
    /// Notes of the whole score.
    pub notes: usize,
    /// Written bars.
    pub bars: usize,
    /// Bars once repeats and jumps are unrolled.
    pub played_bars: usize,
    /// Notes once repeats and jumps are unrolled: a few bars full of notes can be repeated many times over.
    pub played_notes: usize,
    /// The longest bar, in quarter notes.
    pub bar_quarters: i64,
}

impl Limits {
    /// Room for any real harp piece, and small enough for a small machine.
    pub const USUAL: Limits = Limits {
        bytes: 64 << 20,
        unpacked_bytes: 128 << 20,
        nodes: 4_000_000,
        notes: 1_000_000,
        bars: 50_000,
        played_bars: 100_000,
        played_notes: 1_000_000,
        bar_quarters: 1_000,
    };

    /// Refuses a score of which more notes would be played than [`Limits::played_notes`].
    pub(crate) fn allow_playing(&self, score: &Score, order: &PlayingOrder) -> Result<(), ImportError> {
        let mut notes_of_bar = vec![0_usize; score.bars().len()];
        for (_, note) in score.notes() {
            if let Some(notes) = notes_of_bar.get_mut(note.bar.get()) {
                *notes += 1;
            }
        }
        let notes_of = |bar: usize| notes_of_bar.get(bar).copied().unwrap_or(0);
        let played = order.bars().iter().fold(0_usize, |played, bar| played.saturating_add(notes_of(bar.get())));
        if played <= self.played_notes {
            return Ok(());
        }
        Err(ImportError::LimitReached(Detail {
            place: Said::default(),
            found: said!(
                "repeats and jumps that make {played} notes of {notes}",
                played,
                notes = score.notes().count()
            ),
            expected: said!("at most {most} played notes", most = self.played_notes),
            remedy: said!("check the counts of the repeats, or remove some"),
        }))
    }
}
