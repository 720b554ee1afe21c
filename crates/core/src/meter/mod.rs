//! Meters, the beats they count, and the grid of places on which a flip can be made.

mod beat_grid;
mod signature;

pub use beat_grid::{BarPlace, Divisions, Strength, divisions_used, flip_places, strength};
pub use signature::{Counting, Meter, MeterError};
