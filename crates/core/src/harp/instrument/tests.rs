use super::*;
use crate::harp::{Preset, Setting};
use crate::pitch::Key;

fn pitch(text: &str) -> SpelledPitch {
    text.parse().unwrap()
}

fn harp_34(tuning: Tuning) -> Harp {
    Preset::with_strings(34).unwrap().tuned(tuning)
}

/// From open E♭: the letters whose levers are up in each major key (handbook table, and arithmetic).
#[test]
fn levers_for_the_keys_from_e_flat() {
    let table = [(-3, ""), (-2, "A"), (-1, "AE"), (0, "AEB"), (1, "AEBF"), (2, "AEBFC"), (3, "AEBFCG"), (4, "AEBFCGD")];
    let harp = harp_34(Tuning::EFlat);
    for (fifths, letters) in table {
        let setting = Setting::for_key(&harp, Key::from_fifths(fifths).unwrap());
        for (number, string) in harp.numbered() {
            let expected = letters.contains(string.open.letter().as_char());
            assert_eq!(setting.of(number) == LeverState::Up, expected, "{fifths} fifths, string {}", string.open);
        }
    }
}

/// Each open major tuning reaches itself and the seven keys sharpward of it (arithmetic: seven levers, a fifth each).
#[test]
fn a_tuning_reaches_eight_keys() {
    for tuning in Tuning::ALL {
        let harp = harp_34(tuning);
        for fifths in -7..=7 {
            let key = Key::from_fifths(fifths).unwrap();
            let setting = Setting::for_key(&harp, key);
            let reached = harp
                .numbered()
                .all(|(number, string)| string.sounds(setting.of(number)).alter() == key.alter(string.open.letter()));
            let sharpward = (tuning.key().fifths()..=tuning.key().fifths() + 7).contains(&fifths);
            assert_eq!(reached, sharpward, "{tuning} to {fifths} fifths");
        }
    }
}

/// Pitches that lie on two neighbouring strings (arithmetic: where open neighbours are a semitone apart).
#[test]
fn pitches_on_two_strings() {
    let table = [
        (Tuning::EFlat, ["Eb4", "Ab4"]),
        (Tuning::C, ["F4", "C5"]),
        (Tuning::F, ["F4", "Bb4"]),
        (Tuning::BFlat, ["Eb4", "Bb4"]),
        (Tuning::AFlat, ["Db4", "Ab4"]),
    ];
    for (tuning, doubled) in table {
        let harp = harp_34(tuning);
        for midi in 60..72 {
            let note = MidiNote::new(midi).unwrap();
            // C5 in the C tuning is the same pitch class as C4, which has B3 for its neighbour.
            let expected = doubled.iter().any(|text| pitch(text).midi().get() % 12 == midi % 12);
            assert_eq!(harp.ways_to_sound(note).count() == 2, expected, "{tuning} {midi}");
        }
    }
}

#[test]
fn harps_that_are_none_are_refused() {
    assert_eq!(Harp::new("", vec![]), Err(HarpError::StringCount { found: 0 }));
    let string = |text: &str| HarpString {
        open: pitch(text),
        lever: Lever::UNCHECKED,
        place: StringPlace::nominal(pitch(text), 0),
        sound: StringSound::UNHEARD,
    };
    let unsorted = Harp::new("", vec![string("C4"), string("D4")]);
    assert!(matches!(unsorted, Err(HarpError::NotDescending { number: 2, .. })));
    assert!(matches!(Harp::new("", vec![string("G9")]), Err(HarpError::OutOfRange { number: 1, .. })));
}
