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

/// A flip on the third quarter, looked at from two and a half on; the next string is to be found on the fourth.
#[test]
fn the_eyes_go_to_the_lever_and_come_back() {
    let quarters = |quarters: f64| Ticks::new((quarters * Ticks::PER_QUARTER as f64) as i64);
    let look = Look { to_lever: quarters(2.5), flip: quarters(3.0), to_strings: Some(quarters(4.0)) };
    let at = |place| eyes(&[look], quarters(place));
    assert_eq!([at(2.4), at(2.5), at(3.0)], [None, Some(Eyes::OnLever), Some(Eyes::OnLever)]);
    assert_eq!([at(3.5), at(4.1)], [Some(Eyes::OnStrings), None]);
    let free = Look { to_strings: None, ..look };
    assert_eq!(eyes(&[free], quarters(3.5)), None, "nothing has to be found");
}
