//! Two clocks: the loudspeaker's count of samples and the microphone's.
//!
//! Each device counts by a crystal of its own: two of them part by tens of parts per million, and some by hundreds. So
//! neither count is ever taken for the other. Two measurements relate them ([`TwoClocks`]):
//!
//! - Both are watched against the machine's clock ([`DeviceClock`]): a callback can only come late, so the least late one
//!   of every half second tells, and a robust line goes through these. What lies between the lines, the way from the
//!   renderer through loudspeaker, air and microphone, is the [latency](crate::latency). Behind a sound server the
//!   callbacks themselves wander by some milliseconds.
//! - Sounds of ours that are heard again relate one count to the other directly, to the sample.
//!
//! Drift is followed; jumps, and a way that wanders as that of wireless devices does, are told.

mod device_clock;
mod steady_line;
mod two_clocks;

pub use device_clock::{ClockMark, DeviceClock};
pub(crate) use steady_line::median;
pub use steady_line::{Kind as EchoKind, PartsPerMillion, Unsteadiness};
pub use two_clocks::{ClockNews, TwoClocks};
