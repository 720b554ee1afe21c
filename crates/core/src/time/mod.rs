//! Score time (exact), tempo, and the seconds that come of both.

mod seconds;
mod tempo;
mod tempo_map;
mod ticks;

pub use seconds::Seconds;
pub use tempo::{Tempo, TempoError};
pub use tempo_map::TempoMap;
pub use ticks::{ScoreTime, Ticks};
