//! Bars as engraved notation, and where each onset stands in it.
//!
//! ```text
//! Music (our own model) → MusicXML (our own writer) → the C++ engine → SVG with boxes → System: ink and places
//!                                                                                          ├→ Picture, for the screen
//!                                                                                          └→ pages, for paper
//! ```
//!
//! The window talks to an [`Engraver`], which works on a thread of its own. What it hands to the engine is never a
//! player's file, only what our writer made of our model, since the engine can end the whole process on input it doesn't
//! expect. Whatever goes wrong otherwise is an [`EngravingError`], and the caller shows the music without notation.
//!
//! The engine is Verovio, through the crate verovio-sys. Only its drawings and their boxes are used.

mod drawing;
mod engine;
mod engraver;
mod error;
mod fonts;
mod onsets;
mod picture;
pub mod sheet;
mod svg;
#[cfg(test)]
mod tests;

pub use drawing::{BarBox, Drawing, Music, NoteBox, Span, System};
pub use engine::PageSize;
pub use engraver::{Answer, DrawingId, Engraver, PictureRequest};
pub use error::EngravingError;
pub use fonts::MusicFonts;
pub use onsets::OnsetMap;
pub use picture::Picture;
