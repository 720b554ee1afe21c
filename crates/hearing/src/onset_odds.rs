//! How likely it is that something begins to sound in a frame: a small convolutional network over the levels of the frames
//! around it, after Schlüter and Böck (2014, "Improved musical onset detection with convolutional neural networks").
//!
//! It was learnt from the same instruments as [`crate::pluck_odds`] and seven more, and from noise, knocks and speech-like
//! sound.

mod weights;

use crate::band_levels::{BANDS, Levels};
use weights::{FILTERS, FILTERS_BIAS, LAST, LAST_BIAS, MIDDLE, MIDDLE_BIAS};

/// The frames around a frame that are looked at, and how many of them come after it.
const FRAMES: usize = 24;
pub(crate) const AFTER: usize = 8;
/// A filter reaches over so many bands.
const WIDTH: usize = 3;
const KINDS: usize = 20;
/// The answers of a filter are averaged over so many bands.
const POOLED: usize = 5;
const POOLS: usize = (BANDS - WIDTH + 1) / POOLED;
const UNITS: usize = 64;

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
        let mut odds = LAST_BIAS;
        for ((weights, bias), last) in MIDDLE.iter().zip(MIDDLE_BIAS).zip(LAST) {
            let unit: f32 = weights.iter().zip(&pools).map(|(weight, pool)| weight * pool).sum();
            odds += last * (bias + unit).max(0.0);
        }
        1.0 / (1.0 + (-odds).exp())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the network was learnt for, by hand: a floor of noise; then twenty partials of one string that rise at once and
    /// fade. The frame in which they rise is likelier than any other, and nothing else is likely.
    #[test]
    fn a_rise_of_many_bands_is_told_in_its_frame() {
        let mut odds = OnsetOdds::new();
        let rises = 60;
        let levels = |frame: i32| -> Levels {
            std::array::from_fn(|band| {
                let noise = 0.3 + 0.02 * ((frame * 7 + band as i32 * 13) % 11) as f32 / 11.0;
                let sounds = frame >= rises && band % 3 == 0;
                if sounds { noise + 1.5 * (-0.01 * (frame - rises) as f32).exp() } else { noise }
            })
        };
        let told: Vec<f32> = (0..120).map(|frame| odds.push(levels(frame))).skip(AFTER).collect();
        let best = (0..told.len()).max_by(|&a, &b| told[a].total_cmp(&told[b])).unwrap();
        assert!(best.abs_diff(rises as usize) <= 1, "{best}: {told:?}");
        assert!(told[best] > 0.5, "{}", told[best]);
        assert!(told.iter().enumerate().skip(FRAMES).all(|(frame, odds)| frame.abs_diff(best) < 4 || *odds < 0.3));
    }
}
