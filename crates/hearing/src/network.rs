//! Layers of small networks, whose numbers were learnt.

/// Weighted sums of the input.
pub(crate) fn sums<const IN: usize, const OUT: usize>(
    input: &[f32; IN],
    weights: &[[f32; IN]; OUT],
    bias: &[f32; OUT],
) -> [f32; OUT] {
    std::array::from_fn(|unit| {
        bias[unit] + input.iter().zip(&weights[unit]).map(|(input, weight)| input * weight).sum::<f32>()
    })
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
}
