//! The musical heart of Leverlane: pitches, the harp and its levers, exact score time, the beat grid, the score, the
//! plan of lever flips and the shape of a drill.
//!
//! Everything here is pure: no files, no clock, no threads, no randomness. The same input gives the same output, to the
//! byte. Data flows one way: a [`score::Score`] on a [`harp::Harp`] becomes a [`plan::Plan`]; a plan and a place in it
//! become a [`drill::Chunk`] with its [`drill::Timeline`]; a pass through it, as it was heard, gets a [`verdict::Verdict`].
//!
//! Score time is counted in integer ticks ([`time::Ticks`], [`time::ScoreTime`]); seconds appear only once a
//! [`time::TempoMap`] is applied, samples not at all.

pub mod drill;
pub mod harp;
pub mod meter;
pub mod pitch;
pub mod plan;
pub mod programme;
pub mod score;
pub mod time;
pub mod verdict;
