use leverlane_core::meter::Meter;
use leverlane_core::plan::TopTempo;

use super::*;

fn pitch(text: &str) -> SpelledPitch {
    text.parse().unwrap()
}

/// Common practice: a natural is written where a flat or sharp stood.
#[test]
fn pitches_for_the_eye_and_for_the_ear() {
    assert_eq!(letter_and_sign(pitch("F#4")), "F♯");
    assert_eq!(letter_and_sign(pitch("Bb3")), "B♭");
    assert_eq!(letter_and_sign(pitch("C5")), "C♮");
    assert_eq!(pitch_spoken(pitch("F#4")), "F sharp 4");
    assert_eq!(pitch_spoken(pitch("Bb3")), "B flat 3");
    assert_eq!(pitch_spoken(pitch("C5")), "C 5");
}

/// Arithmetic: in 6/8 the dotted beat has three eighths; the second eighth is a third into the first beat.
#[test]
fn beats_are_said_with_their_fractions() {
    let quarters = |numerator, denominator| Ticks::from_quarters(numerator, denominator).unwrap();
    let said = |meter: &Meter, at| beat(BarPlace::at(at, meter, Counting::Beats));
    let four = Meter::common();
    assert_eq!(said(&four, quarters(0, 1)), "1");
    assert_eq!(said(&four, quarters(7, 2)), "4½");
    assert_eq!(said(&four, quarters(5, 4)), "2¼");
    let six = Meter::new(&[6], 8).unwrap();
    assert_eq!(said(&six, quarters(1, 2)), "1⅓");
    assert_eq!(said(&six, quarters(5, 2)), "2⅔");
    assert_eq!(said(&four, quarters(1, 5)), "1.20");
}

/// A top tempo of 96.9 must not be promised as 97; in dotted quarters 90 quarters are 60.
#[test]
fn top_tempos_are_rounded_down() {
    let top = |quarters_per_minute| TopTempo { quarters_per_minute };
    assert_eq!(top_tempo(top(96.9), Ticks::QUARTER), "96");
    assert_eq!(top_tempo(top(90.0), Ticks::from_quarters(3, 2).unwrap()), "60");
    assert_eq!(top_tempo(top(0.0), Ticks::QUARTER), "none");
}

#[test]
fn tempos_name_their_unit() {
    let dotted = Ticks::from_quarters(3, 2).unwrap();
    assert_eq!(tempo(Tempo::beats(dotted, 40.0).unwrap()), "40 dotted quarters a minute");
    assert_eq!(tempo(Tempo::quarters(61.5).unwrap()), "61.5 quarters a minute");
}
