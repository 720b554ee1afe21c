//! How likely it is that something begins to sound in a frame: a small convolutional network over the levels of the frames
//! around it, after Schlüter and Böck (2014, "Improved musical onset detection with convolutional neural networks").
//!
//! It was learnt from the same instruments as [`crate::pluck_odds`] and fourteen more, and from noise, knocks and speech-like
//! sound.

mod weights;

use crate::band_levels::{BANDS, Levels};
use crate::network::{layer, sums};
use weights::{FILTERS, FILTERS_BIAS, LAST, LAST_BIAS, MIDDLE, MIDDLE_BIAS};

/// The frames around a frame that are looked at, and how many of them come after it.
const FRAMES: usize = 32;
pub(crate) const AFTER: usize = 14;
/// A filter reaches over so many bands.
const WIDTH: usize = 3;
const KINDS: usize = 28;
/// The answers of a filter are averaged over so many bands.
const POOLED: usize = 5;
const POOLS: usize = (BANDS - WIDTH + 1) / POOLED;
const UNITS: usize = 96;

/// Follows the levels of frames.
#[derive(Debug)]
pub(crate) struct OnsetOdds {
    /// The last frames, the newest one last.
    frames: [Levels; FRAMES],
}

impl OnsetOdds {
    pub(crate) fn new() -> OnsetOdds {
        OnsetOdds { frames: [[0.0; BANDS]; FRAMES] }
    }

    /// Takes the next frame's levels, and gives the probability that something began in the frame [`AFTER`] frames ago.
    pub(crate) fn push(&mut self, levels: Levels) -> f32 {
        self.frames.rotate_left(1);
        self.frames[FRAMES - 1] = levels;
        let mut pools = [0.0; POOLS * KINDS];
        for (kind, (filter, bias)) in FILTERS.iter().zip(FILTERS_BIAS).enumerate() {
            let mut answers = [bias; BANDS - WIDTH + 1];
            for (frame, weights) in self.frames.iter().zip(filter) {
                for (offset, weight) in weights.iter().enumerate() {
                    for (answer, level) in answers.iter_mut().zip(&frame[offset..]) {
                        *answer += weight * level;
                    }
                }
            }
            for (pool, answers) in answers.chunks_exact(POOLED).enumerate() {
                pools[pool * KINDS + kind] = answers.iter().map(|answer| answer.max(0.0)).sum::<f32>() / POOLED as f32;
            }
        }
        let [odds] = sums(&layer(&pools, &MIDDLE, &MIDDLE_BIAS), &LAST, &LAST_BIAS);
        1.0 / (1.0 + (-odds).exp())
    }
}

#[cfg(test)]
mod tests {
    use std::f32::consts::TAU;

    use super::*;

    /// What the network was learnt for, by hand: a floor of noise; then twenty partials of one string that begin in the
    /// middle of a frame, which is eight hops long, so that its window (Hann's) has them whole four frames later, and fade.
    /// The frame in the middle of which they begin is likelier than any other, and nothing else is likely.
    #[test]
    fn a_rise_of_many_bands_is_told_in_its_frame() {
        let mut odds = OnsetOdds::new();
        let begins = 60;
        let levels = |frame: i32| -> Levels {
            let since = (frame - begins) as f32;
            let covered = (since / 8.0 + 0.5).clamp(0.0, 1.0);
            let share = covered - (TAU * covered).sin() / TAU;
            let string = (1.5 + share.max(1e-6).log10()).max(0.0) * (-0.01 * since.max(0.0)).exp();
            std::array::from_fn(|band| {
                let noise = 0.3 + 0.02 * ((frame * 7 + band as i32 * 13) % 11) as f32 / 11.0;
                if band % 3 == 0 { noise + string } else { noise }
            })
        };
        let told: Vec<f32> = (0..120).map(|frame| odds.push(levels(frame))).skip(AFTER).collect();
        let best = (0..told.len()).max_by(|&a, &b| told[a].total_cmp(&told[b])).unwrap();
        assert!(best.abs_diff(begins as usize) <= 1, "{best}: {told:?}");
        assert!(told[best] > 0.5, "{}", told[best]);
        assert!(told.iter().enumerate().skip(FRAMES).all(|(frame, odds)| frame.abs_diff(best) < 4 || *odds < 0.3));
    }
}
