//! How long sound takes from the renderer through loudspeaker, air and microphone.
//!
//! Sweeps are played and looked for in what is heard ([`find_sweep`]); the median of several counts, measured against
//! both devices' clocks ([`measure()`]). It holds for one pair of devices and is kept in a [`LatencyBook`]. [`SweepRun`]
//! does all of it with a [`Player`](crate::Player) and a [`Microphone`](crate::capture::Microphone).
//!
//! With headphones the microphone hears nothing of it: then the player taps or plucks along with the click
//! ([`by_taps`]). That measures her as well as the devices, and is good to some 20 ms only; a verdict takes her own median
//! off anyway.

mod book;
mod measure;
mod probes;
mod run;
mod sweep;
mod taps;

pub use book::{BookError, DevicePair, LatencyBook, Measured};
pub use measure::{Latency, LatencyError, MeasuredBy, SweepFound, find_sweep, measure};
pub use probes::{Probe, Probes};
pub use run::{RunState, SweepRun};
pub(crate) use sweep::sweep;
pub use taps::{TapsError, by_taps};
