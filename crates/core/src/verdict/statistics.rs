//! Figures that a single slip can't spoil.

/// The middle value; of an even number of values half-way between the two in the middle. None where there are none.
pub fn median(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let upper = *sorted.get(sorted.len() / 2)?;
    if sorted.len() % 2 == 1 {
        return Some(upper);
    }
    let lower = *sorted.get(sorted.len() / 2 - 1)?;
    Some(lower + (upper - lower) / 2.0)
}

/// The factor by which the median absolute deviation of normally distributed values becomes their standard deviation:
/// 1/Φ⁻¹(3/4) (arithmetic).
const NORMAL: f64 = 1.482_602_218_505_602;

/// How far values lie about their median: the median absolute deviation times 1.4826. None for fewer than two values.
pub fn spread(values: &[f64]) -> Option<f64> {
    let middle = median(values).filter(|_| values.len() > 1)?;
    let deviations: Vec<f64> = values.iter().map(|value| (value - middle).abs()).collect();
    median(&deviations).map(|deviation| deviation * NORMAL)
}
