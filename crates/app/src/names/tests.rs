use leverlane_core::meter::Meter;
use leverlane_core::plan::TopTempo;

use super::*;
use crate::words::Language;

/// Arithmetic: in 6/8 the dotted beat has three eighths; the second eighth is a third into the first beat.
#[test]
fn beats_are_said_with_their_fractions() {
    let quarters = |numerator, denominator| Ticks::from_quarters(numerator, denominator).unwrap();
    let said = |meter: &Meter, at| beat(Words::default(), BarPlace::at(at, meter, Counting::Beats));
    let four = Meter::common();
    assert_eq!(said(&four, quarters(0, 1)), "1");
    assert_eq!(said(&four, quarters(7, 2)), "4½");
    assert_eq!(said(&four, quarters(5, 4)), "2¼");
    let six = Meter::new(&[6], 8).unwrap();
    assert_eq!(said(&six, quarters(1, 2)), "1⅓");
    assert_eq!(said(&six, quarters(5, 2)), "2⅔");
    assert_eq!(said(&four, quarters(1, 5)), "1.20");
    let german = Words { language: Language::German, ..Words::default() };
    assert_eq!(beat(german, BarPlace::at(quarters(1, 5), &four, Counting::Beats)), "1,20");
}

/// A top tempo of 96.9 must not be promised as 97; in dotted quarters 90 quarters are 60.
#[test]
fn top_tempos_are_rounded_down() {
    let top = |quarters_per_minute| TopTempo { quarters_per_minute };
    assert_eq!(top_tempo(top(96.9), Ticks::QUARTER).as_deref(), Some("96"));
    assert_eq!(top_tempo(top(90.0), Ticks::from_quarters(3, 2).unwrap()).as_deref(), Some("60"));
    assert_eq!(top_tempo(top(0.0), Ticks::QUARTER), None);
}

#[test]
fn tempos_name_their_unit() {
    let dotted = Ticks::from_quarters(3, 2).unwrap();
    assert_eq!(tempo(Words::default(), Tempo::beats(dotted, 40.0).unwrap()), "40 dotted quarters a minute");
    assert_eq!(tempo(Words::default(), Tempo::quarters(61.5).unwrap()), "61.5 quarters a minute");
}

/// The demo repeats its first eight bars: bar 1 comes again after bar 8.
#[test]
fn bars_that_come_again_are_told_with_their_time() {
    let piece = crate::effects::read_piece(crate::state::Origin::Demo, crate::demo::PIECE).unwrap();
    let again = piece.performance.bars().iter().position(|bar| bar.earlier_times == 1).unwrap() as u32;
    let said = |first, last| loop_size(Words::default(), &piece, ChunkSize::Bars { first, last });
    assert_eq!(said(1, 2), "bars 1 to 2");
    assert_eq!(said(again, again + 1), "bars 1 to 2, 2nd time");
    assert_eq!(said(again - 1, again), "bars 8 to 1, 2nd time");
    let german = Words { language: Language::German, ..Words::default() };
    let bars = ChunkSize::Bars { first: again, last: again + 1 };
    assert_eq!(loop_size(german, &piece, bars), "Takte 1 bis 2, 2. Mal");
}
