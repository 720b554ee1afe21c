use super::*;
use crate::harp::{Preset, Tuning};
use crate::meter::Meter;
use crate::pitch::{Key, Letter};
use crate::plan::PaceLevel;
use crate::score::{Bar, HandRule, Hands, Navigation, PlayingOrder, Score};

/// So many empty bars of 4/4.
fn performance(bars: usize) -> Performance {
    let bar = Bar {
        number: String::new(),
        length: Ticks::QUARTER * 4,
        meter: Meter::common(),
        anacrusis: Ticks::ZERO,
        key: Key::NATURAL,
        tempo_marks: Vec::new(),
        navigation: Navigation::default(),
    };
    let score = Score::new("", vec![bar; bars], Vec::new()).unwrap();
    Performance::new(&score, &PlayingOrder::as_written(&score), &Hands::assign(&score, &HandRule::Usual))
}

fn flip(bar: usize, quarter: i64, string: &str, to: LeverState) -> WantedFlip {
    let string = string.parse().unwrap();
    WantedFlip { bar: BarIndex::new(bar), at: Ticks::QUARTER * quarter, string, to, hand: Hand::Left }
}

fn planned(flips: &[WantedFlip], quarters_per_minute: f64) -> BarePlan {
    planned_on(&Preset::with_strings(34).unwrap().tuned(Tuning::C), flips, quarters_per_minute)
}

fn planned_on(harp: &Harp, flips: &[WantedFlip], quarters_per_minute: f64) -> BarePlan {
    let tempo = TempoMap::steady(Tempo::quarters(quarters_per_minute).unwrap());
    let (performance, pace) = (performance(12), HandPace::from(PaceLevel::Fluent));
    bare_plan(&BareRequest { performance: &performance, harp, tempo: &tempo, pace: &pace, flips })
}

use LeverState::{Down, Up};

/// Counting bars of four quarters: bar index 11, beat 4 is quarter 47.
#[test]
fn gestures_stand_where_they_are_wanted() {
    let BarePlan { plan, unmet } = planned(&[flip(11, 3, "C5", Up), flip(2, 0, "F4", Down)], 60.0);
    assert!(unmet.is_empty() && plan.problems.is_empty());
    let places: Vec<String> = plan.gestures.iter().map(|gesture| gesture.at.to_string()).collect();
    assert_eq!(places, ["8/1", "47/1"]);
    assert_eq!(plan.gestures[1].played_bar, 11);
    assert_eq!(plan.gestures[1].flips[0].sounds.ascii(), "C#5");
    assert_eq!(plan.gestures[0].flips[0].sounds.ascii(), "F4");
    let harp = Preset::with_strings(34).unwrap().tuned(Tuning::C);
    let state = |name: &str, setting: &Setting| setting.of(harp.string_of_letter(name.parse().unwrap()).unwrap().0);
    assert_eq!((state("C5", &plan.start), state("F4", &plan.start)), (Down, Up), "each flip changes its lever");
    assert_eq!((state("C5", &plan.end), state("F4", &plan.end)), (Up, Down));
    assert_eq!(plan.totals, Totals { flips: 2, ..Totals::default() });
}

/// 0.4 s from lever to lever and 0.15 s for a neighbour more (the nominal paces); a beat at 60 is a second, at 180 a
/// third of one.
#[test]
fn a_hand_has_the_time_since_its_last_flip() {
    let flips = [flip(0, 0, "C5", Up), flip(0, 1, "G4", Up), flip(0, 1, "F4", Up)];
    let slow = planned(&flips, 60.0).plan;
    assert_eq!(slow.gestures.len(), 2, "neighbours the same way are one motion");
    assert_eq!((slow.gestures[0].available, slow.gestures[0].top_tempo), (None, None));
    assert!((slow.gestures[1].needed.get() - 0.55).abs() < 1e-9);
    assert_eq!(slow.gestures[1].available, Some(Seconds::new(1.0)));
    assert!((slow.gestures[1].top_tempo.unwrap().quarters_per_minute - 60.0 / 0.55).abs() < 1e-9);
    let fast = planned(&flips, 180.0).plan;
    assert_eq!(fast.totals.rushed, 1);
    assert_eq!(fast.problems[0].kind, ProblemKind::Rushed);
    let other_hand = [flips[0], WantedFlip { hand: Hand::Right, ..flips[1] }];
    assert_eq!(planned(&other_hand, 400.0).plan.totals.rushed, 0, "two hands don't wait for each other");
    let apart = planned(&[flip(0, 0, "C5", Up), flip(0, 0, "G4", Up)], 60.0).plan;
    assert_eq!((apart.gestures.len(), apart.totals.rushed), (2, 1), "distant levers at one moment are too much");
    assert_eq!(apart.gestures[1].top_tempo.unwrap().quarters_per_minute, 0.0);
}

#[test]
fn windows_reach_from_flip_to_flip_and_to_the_bar_line() {
    let plan = planned(&[flip(0, 1, "C5", Up), flip(0, 3, "C5", Down), flip(4, 2, "C5", Up)], 60.0).plan;
    let window = |gesture: usize| plan.gestures[gesture].flips[0].window;
    let at = |quarters| ScoreTime::from_start(Ticks::QUARTER * quarters);
    assert_eq!(window(0), Window { after: None, before: at(3) });
    assert_eq!(window(1), Window { after: Some(at(1)), before: at(4) });
    assert_eq!(window(2), Window { after: Some(at(3)), before: at(20) });
}

#[test]
fn what_the_harp_can_not_do_is_told() {
    let harp = Preset::with_strings(34).unwrap().tuned(Tuning::C).with_levers_on(&[Letter::F, Letter::C]);
    let flips = [
        flip(0, 0, "C5", Up),
        flip(1, 0, "C5", Up),
        flip(2, 0, "G4", Up),
        flip(3, 0, "C8", Up),
        flip(40, 0, "F4", Up),
        flip(5, 0, "F4", Up),
        flip(5, 0, "F4", Down),
    ];
    let BarePlan { plan, unmet } = planned_on(&harp, &flips, 60.0);
    let why: Vec<_> = unmet.iter().map(|unmet| (unmet.flip, unmet.why)).collect();
    use ProblemKind::*;
    assert_eq!(why, [(1, EditNotMet), (2, NoLever), (3, OffTheHarp), (4, OffTheHarp)]);
    assert_eq!(plan.problems.len(), 5, "the four, and a lever moved twice at one moment");
    assert_eq!(plan.totals.flips, 3);
}
