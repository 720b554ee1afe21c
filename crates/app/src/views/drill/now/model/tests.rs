use super::*;

/// Arithmetic: the figure changes on the beat and is 0 on the flip beat.
#[test]
fn beats_count_down_on_the_beat() {
    let quarters = |numerator, denominator| Ticks::from_quarters(numerator, denominator).unwrap();
    let beat = Ticks::QUARTER;
    let left = |at| beats_until(at, quarters(4, 1), beat);
    assert_eq!([0, 1, 2, 3, 4].map(|at| left(quarters(at, 1))), [4, 3, 2, 1, 0]);
    assert_eq!(left(quarters(1, 2)), 4, "half a beat in the same figure stands");
    assert_eq!(left(quarters(9, 2)), 0);
}
