//! Between bytes and the core: reading scores, writing them back, and our own documents.
//!
//! Reading never trusts its input: [`Limits`] bound what a file may ask for, an [`ImportError`] says in one line what
//! is wrong, where, and what to do, and whatever is read differently from how it is written stands in
//! [`Imported::warnings`].

pub mod abc;
pub mod documents;
mod error;
pub mod files;
mod import;
mod limits;
mod mark;
mod midi;
mod musicxml;
mod mxl;
pub mod paper;
mod said;
mod warning;
pub mod wav;

pub use error::{Detail, ImportError};
pub use import::{Imported, SourceKind, import, import_tune};
pub use limits::Limits;
pub use mark::{mark_score, unmark_score};
pub use midi::{MidiFile, MidiSource, MidiWriteError, read_midi, write_midi};
pub use musicxml::{
    MarkedFile, Marking, MusicXmlFile, MusicXmlSource, OtherParts, bar_id, note_id, note_of_id, write_musicxml,
};
pub use said::{Gap, Said};
pub use warning::Warning;
