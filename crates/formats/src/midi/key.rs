//! Which key a piece is in, where its file does not say.
//!
//! Krumhansl & Kessler 1982 (Psychological Review 89(4)): how well each semitone fits a major or a minor key, as
//! listeners rated it; the key is the one whose profile correlates best with how long each semitone sounds.

use leverlane_core::pitch::{Key, MidiNote};
use leverlane_core::time::Ticks;

/// Ratings from the tonic up, major.
const MAJOR: [f64; 12] = [6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88];
/// Ratings from the tonic up, minor.
const MINOR: [f64; 12] = [6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17];

/// Sharps or flats of the major key on each semitone above C, those with fewest accidentals.
const FIFTHS_OF_MAJOR: [i8; 12] = [0, -5, 2, -3, 4, -1, 6, 1, -4, 3, -2, 5];

/// A key that was estimated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Estimate {
    /// Its signature.
    pub key: Key,
    /// The correlation with its profile, −1 to 1.
    pub fit: f64,
    /// The best correlation among the two keys without accidentals, C major and A minor.
    pub fit_of_naturals: f64,
}

/// The key of notes with their lengths; none where there are no notes, or all twelve semitones sound equally long.
pub(super) fn estimate(notes: impl Iterator<Item = (MidiNote, Ticks)>) -> Option<Estimate> {
    let mut lengths = [0.0; 12];
    for (note, length) in notes {
        lengths[usize::from(note.get() % 12)] += length.quarters();
    }
    let mut best: Option<Estimate> = None;
    let mut naturals = f64::NEG_INFINITY;
    for tonic in 0..12usize {
        for (profile, from_major) in [(&MAJOR, 0), (&MINOR, 3)] {
            let turned: [f64; 12] = std::array::from_fn(|semitone| profile[(semitone + 12 - tonic) % 12]);
            let fit = correlation(&lengths, &turned)?;
            // A minor key has the signature of the major key three semitones higher.
            let key = Key::from_fifths(FIFTHS_OF_MAJOR[(tonic + from_major) % 12])?;
            if key == Key::NATURAL {
                naturals = naturals.max(fit);
            }
            if best.is_none_or(|best| fit > best.fit) {
                best = Some(Estimate { key, fit, fit_of_naturals: 0.0 });
            }
        }
    }
    best.map(|best| Estimate { fit_of_naturals: naturals, ..best })
}

/// Pearson's correlation; none where one side does not vary.
fn correlation(a: &[f64; 12], b: &[f64; 12]) -> Option<f64> {
    let mean = |values: &[f64; 12]| values.iter().sum::<f64>() / 12.0;
    let (mean_a, mean_b) = (mean(a), mean(b));
    let (mut product, mut square_a, mut square_b) = (0.0, 0.0, 0.0);
    for (x, y) in a.iter().zip(b) {
        let (x, y) = (x - mean_a, y - mean_b);
        product += x * y;
        square_a += x * x;
        square_b += y * y;
    }
    (square_a > 0.0 && square_b > 0.0).then(|| product / (square_a * square_b).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fifths(notes: &[u8]) -> i8 {
        let notes = notes.iter().map(|&note| (MidiNote::new(note).unwrap(), Ticks::QUARTER));
        estimate(notes).unwrap().key.fifths()
    }

    /// Common practice: the scale and the tonic triad of a key belong to it.
    #[test]
    fn scales_and_triads_name_their_keys() {
        assert_eq!(fifths(&[60, 62, 64, 65, 67, 69, 71, 72, 64, 67, 72]), 0, "C major");
        assert_eq!(fifths(&[62, 64, 66, 67, 69, 71, 73, 74, 66, 69, 74]), 2, "D major");
        assert_eq!(fifths(&[60, 62, 63, 65, 67, 68, 71, 72, 63, 67, 72]), -3, "C minor has the signature of E flat");
        assert_eq!(estimate([].into_iter()), None);
    }
}
