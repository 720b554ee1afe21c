//! The lever harp: its strings from the top, the levers on them, how it is tuned, how it sounds and how far a hand has
//! to reach.

mod geometry;
mod instrument;
mod lever;
mod preset;
mod setting;
mod string;
mod timbre;
mod tuning;

pub use geometry::{Geometry, Millimetres, Profile, StringPlace};
pub use instrument::{Harp, HarpError};
pub use lever::{Lever, LeverState};
pub use preset::Preset;
pub use setting::Setting;
pub use string::{HarpString, StringNumber};
pub use timbre::{Rattle, Stiffness, StringSound, Timbre, TimbreError};
pub use tuning::{Tuning, UnknownTuning};
