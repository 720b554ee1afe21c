//! Keeping the sum within bounds.

/// Below this amplitude nothing is changed.
const KNEE: f32 = 0.7;

/// Bends what is above the knee smoothly, so that the result never reaches full scale. It has no memory, so it moves
/// nothing in time.
pub(crate) fn limited(sample: f32) -> f32 {
    let over = sample.abs() - KNEE;
    if over <= 0.0 {
        return sample;
    }
    let room = 1.0 - KNEE;
    // Rises with slope 1 at the knee and towards, never to, the room above it.
    (KNEE + room * over / (over + room)).copysign(sample)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_reaches_full_scale() {
        for sample in [0.0, 0.1, -0.7, 0.7] {
            assert_eq!(limited(sample), sample);
        }
        let mut last = 0.7;
        for step in 1..200 {
            let bent = limited(0.7 + 0.1 * step as f32);
            assert!(bent > last && bent < 1.0, "{bent}");
            assert_eq!(limited(-(0.7 + 0.1 * step as f32)), -bent);
            last = bent;
        }
    }
}
