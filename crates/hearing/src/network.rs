//! Layers of small networks, whose numbers were learnt.

/// So many products are added up side by side: the processor then does them at once, which it may not by itself, for it
/// rounds otherwise.
const LANES: usize = 8;

/// Weighted sums of the input.
pub(crate) fn sums<const IN: usize, const OUT: usize>(
    input: &[f32; IN],
    weights: &[[f32; IN]; OUT],
    bias: &[f32; OUT],
) -> [f32; OUT] {
    std::array::from_fn(|unit| bias[unit] + product(input, &weights[unit]))
}

fn product<const IN: usize>(input: &[f32; IN], weights: &[f32; IN]) -> f32 {
    let (inputs, rest) = input.as_chunks::<LANES>();
    let (weights, rest_weights) = weights.as_chunks::<LANES>();
    let mut lanes = [0.0; LANES];
    for (inputs, weights) in inputs.iter().zip(weights) {
        for ((lane, input), weight) in lanes.iter_mut().zip(inputs).zip(weights) {
            *lane += input * weight;
        }
    }
    lanes.iter().sum::<f32>() + rest.iter().zip(rest_weights).map(|(input, weight)| input * weight).sum::<f32>()
}

/// The same, silent below 0.
pub(crate) fn layer<const IN: usize, const OUT: usize>(
    input: &[f32; IN],
    weights: &[[f32; IN]; OUT],
    bias: &[f32; OUT],
) -> [f32; OUT] {
    sums(input, weights, bias).map(|sum| sum.max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 1 + 2·3 − 4·0.5 = 5, and 0.5 − 2·1 − 4·1 = −5.5, which is silent.
    #[test]
    fn units_add_up_and_are_silent_below_0() {
        let (input, weights, bias) = ([2.0, 4.0], [[3.0, -0.5], [-1.0, -1.0]], [1.0, 0.5]);
        assert_eq!(sums(&input, &weights, &bias), [5.0, -5.5]);
        assert_eq!(layer(&input, &weights, &bias), [5.0, 0.0]);
    }

    /// Arithmetic: the squares of 1 to 19 add up to 19 · 20 · 39 / 6 = 2,470; 19 are two rows of lanes and three beside them.
    #[test]
    fn every_input_counts_once() {
        let input: [f32; 19] = std::array::from_fn(|n| (n + 1) as f32);
        assert_eq!(sums(&input, &[input], &[0.0]), [2_470.0]);
    }
}
