//! Listening to a drill: what the microphone hears becomes notes on the drill's own clock, and evidence of each pass.
//!
//! ```text
//! Overhearing (sound) ─→ clocks, passes, own sounds ─┐
//! Microphone (sound) ─→ Listener (hearing) ─→ Joiner ┴→ News: onsets, notes, Evidence of a pass
//! ```
//!
//! Hearing knows no device and sound knows no hearing; here they meet. The [`Joiner`] does the work and touches nothing:
//! it is given what is played and what is heard, and is tested without a device. A [`Session`] feeds it from a
//! microphone, which it picks up again when it was pulled out; [`start`] runs one on a thread of its own, which measures the
//! latency of the devices too: by sweeps that the microphone hears, or by the taps of the player who hears a click.
//!
//! What a pass [asks][Asked] for makes a second look possible: as soon as its last note has rung out it is listened to once
//! more, string by string. The sound is kept in memory until then and no longer.
//!
//! For the lever check and the tuner a [`PluckEar`] listens beside it, to strings plucked one at a time; it needs no clock, and so no loudspeaker.
//!
//! The program's own sounds must not count as playing. A click that is heard again tells to the sample how the two clocks
//! lie, and what the room makes of it; from then on it is taken off what is heard. A note that still begins on one of our
//! own sounds, at its pitch, is left out.

mod asked;
mod click_band;
mod clicks;
mod joiner;
mod kept_sound;
mod learned;
mod own_sounds;
mod passes;
mod plucks;
mod recorded;
mod session;
mod tap_run;
mod thread;
mod worker;

pub use asked::Asked;
pub use joiner::{Joiner, News, PlacedNote, Route};
pub use passes::{PassEvidence, Wholeness};
pub use plucks::{PluckEar, SingleNews, SingleStrings};
pub use recorded::{ClicksTakenOff, RecordedClicks, TakingOff};
pub use session::{Ear, Ears, Loudspeaker, Session};
pub use tap_run::TapCount;
pub use thread::{HeardLevel, ListeningThread, NotKept, Order, Told, start};
