use leverlane_core::harp::{Preset, Tuning};
use leverlane_core::pitch::Key;

use super::*;

fn harp(tuning: Tuning) -> Harp {
    Preset::with_strings(34).unwrap().tuned(tuning)
}

fn raise(setting: &mut Setting, harp: &Harp, names: &[&str]) {
    for name in names {
        let (string, _) = harp.string_of_letter(name.parse().unwrap()).unwrap();
        setting.set(string, LeverState::Up);
    }
}

/// The key table of common practice: from E flat tuning C major has the levers of A, E and B up, D major F and C too.
#[test]
fn whole_letters_are_named_once() {
    let harp = harp(Tuning::EFlat);
    let of_key =
        |fifths| setting_in_words(Words::default(), &harp, &Setting::for_key(&harp, Key::from_fifths(fifths).unwrap()));
    assert_eq!(of_key(-3), "none");
    assert_eq!(of_key(-2), "every A");
    assert_eq!(of_key(0), "every E, A and B");
    assert_eq!(of_key(2), "every C, E, F, A and B");
}

/// Worked case 7: in C tuning F4 and F5 are set up at the start.
#[test]
fn single_strings_and_exceptions_are_named() {
    let harp = harp(Tuning::C);
    let mut setting = Setting::all_down(&harp);
    raise(&mut setting, &harp, &["F4", "F5"]);
    assert_eq!(setting_in_words(Words::default(), &harp, &setting), "F4, F5");
    raise(&mut setting, &harp, &["F2", "F6", "C4"]);
    assert_eq!(setting_in_words(Words::default(), &harp, &setting), "every F but F3; C4");
}
