//! ABC notation in, after the standard ABC 2.1 (December 2011).
//!
//! ```text
//! bytes → Tunebook → lines → tokens (lexer) → voices (parser, voice) → Score and PlayingOrder (lower, repeats)
//! ```
//!
//! [`read`] takes the first tune of a file, [`Tunebook`] lists and reads them all, [`passage()`] reads what someone types
//! for two hands. Errors carry line and column; whatever is read otherwise than it stands becomes a warning.
//!
//! What is read: notes, chords (the older `+CEG+` too), rests (bar rests too), lengths, broken rhythm, tuplets, ties,
//! graces, keys and modes with their own accidentals, changes of key, meter, unit length and tempo between and inside
//! lines, voices and overlays, `%%score` and `%%staves`, bar signs with repeats and endings, part orders, fermatas,
//! rolled chords, da capo and dal segno, clef octaves, `octave=` and `transpose=`.
//!
//! Where the standard leaves a choice or practice differs from it:
//! - an accidental holds to the bar line for its letter in all octaves, the default of ABC 2.1 §11.3
//!   (`%%propagate-accidentals pitch`); a warning tells where that matters, and the directive is followed;
//! - a tie over the bar line carries its note's accidental with it (common practice);
//! - a repeat without a sign at its beginning begins where its section does (see `repeats`);
//! - a tempo without a note value (`Q:120`) counts unit lengths (§10.1), with a warning;
//! - two voices are the two hands of one part, upper first; other numbers of voices are parts of their own, unless
//!   `%%score` or `%%staves` says more.
//!
//! Left out without a word: what no string sounds, such as chord symbols, annotations, lyrics, slurs, ornaments' signs,
//! beams and the look of the page. Not supported, with a warning: macros (`m:`), included files, transposition by
//! directives, nested tuplets, words for jumps ("D.C." as an annotation). Microtonal accidentals are refused.

mod accidentals;
mod decorations;
mod fields;
mod fraction;
mod key;
mod lexer;
mod lower;
mod measure;
mod parser;
mod passage;
mod repeats;
mod source;
mod ties;
mod tunebook;
mod voice;
mod warnings;

#[cfg(test)]
mod tests;

pub use passage::{PassageError, PassageSettings, passage};
pub use tunebook::{TuneEntry, Tunebook};

use crate::{ImportError, Imported, Limits};

/// Reads a file of ABC; of several tunes the first, with a warning that names the others.
///
/// # Errors
/// One line that says what is wrong, at which line and column, and what to do.
pub fn read(bytes: &[u8], limits: &Limits) -> Result<Imported, ImportError> {
    Tunebook::open(bytes, limits)?.read_first()
}
