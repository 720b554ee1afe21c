//! How likely it is that a string was plucked, by the signs of it: a small network, learnt from plucks with known truth.
//!
//! It was learnt from harp, guitars, koto and dulcimer of the sound font FluidR3 and from guitar, koto and dulcimer of
//! TimGM6mb, dry and in simulated rooms (`tests/benches/hearing/learn.rs`); the harp of TimGM6mb, by which
//! hearing is measured, was not among them.

mod weights;

use crate::pluck_signs::SIGNS;
use weights::{FIRST, FIRST_BIAS, LAST, LAST_BIAS, SECOND, SECOND_BIAS};

/// Units of the two layers between.
const UNITS: (usize, usize) = (48, 24);

/// The natural logarithm of the odds (likely to unlikely) that the string was plucked at the moment of the signs.
pub(crate) fn log_odds(signs: &[f32; SIGNS]) -> f32 {
    let first = layer(signs, &FIRST, &FIRST_BIAS);
    let second = layer(&first, &SECOND, &SECOND_BIAS);
    LAST_BIAS + second.iter().zip(&LAST).map(|(unit, weight)| unit * weight).sum::<f32>()
}

/// Units that are silent below 0.
fn layer<const IN: usize, const OUT: usize>(
    input: &[f32; IN],
    weights: &[[f32; IN]; OUT],
    bias: &[f32; OUT],
) -> [f32; OUT] {
    std::array::from_fn(|unit| {
        let sum: f32 = input.iter().zip(&weights[unit]).map(|(input, weight)| input * weight).sum();
        (bias[unit] + sum).max(0.0)
    })
}
