//! Listening to a drill: what the microphone hears becomes notes on the drill's own clock, and evidence of each pass.
//!
//! ```text
//! Overhearing (sound) ─→ clocks, passes, own sounds ─┐
//! Microphone (sound) ─→ Listener (hearing) ─→ Joiner ┴→ News: onsets, notes, Evidence of a pass
//! ```
//!
//! Hearing knows no device and sound knows no hearing; here they meet. The [`Joiner`] does the work and touches nothing:
//! it is given what is played and what is heard, and is tested without a device. A [`Session`] feeds it from a
//! microphone, which it picks up again when it was pulled out; [`start`] runs one on a thread of its own.
//!
//! The program's own sounds must not count as playing. A click that is heard again tells to the sample how the two clocks
//! lie, and what the room makes of it; from then on it is taken off what is heard. A note that still begins on one of our
//! own sounds, at its pitch, is left out.

mod clicks;
mod joiner;
mod learned;
mod own_sounds;
mod passes;
mod session;
mod thread;

pub use joiner::{Joiner, News, PlacedNote, Route};
pub use passes::{PassEvidence, Wholeness};
pub use session::{Ear, Ears, Session};
pub use thread::{ListeningThread, Told, start};
