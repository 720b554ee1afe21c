//! How likely it is that a string was plucked, by the signs of it: a small network, learnt from plucks with known truth.
//!
//! It was learnt from harp, guitars, koto and dulcimer of the sound font FluidR3 and from guitar, koto and dulcimer of
//! TimGM6mb, dry and in simulated rooms (`tests/benches/hearing/learn.rs`); the harp of TimGM6mb, by which
//! hearing is measured, was not among them.

mod weights;

use crate::network::{layer, sums};
use crate::pluck_signs::SIGNS;
use weights::{FIRST, FIRST_BIAS, LAST, LAST_BIAS, SECOND, SECOND_BIAS};

/// Units of the two layers between.
const UNITS: (usize, usize) = (96, 48);

/// The natural logarithm of the odds (likely to unlikely) that the string was plucked at the moment of the signs.
pub(crate) fn log_odds(signs: &[f32; SIGNS]) -> f32 {
    let first = layer(signs, &FIRST, &FIRST_BIAS);
    let second = layer(&first, &SECOND, &SECOND_BIAS);
    sums(&second, &LAST, &LAST_BIAS)[0]
}
