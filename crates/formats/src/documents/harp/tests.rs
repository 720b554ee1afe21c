use leverlane_core::harp::{Rattle, Stiffness, Timbre};
use leverlane_core::pitch::SpelledPitch;
use proptest::prelude::*;

use super::*;

fn read(text: &str) -> Result<HarpDocument, DocumentError> {
    HarpDocument::read(text.as_bytes())
}

fn refusal(text: &str) -> String {
    let line = read(text).unwrap_err().to_string();
    assert!(!line.contains('\n') && line.len() < 1500, "{line}");
    line
}

#[test]
fn the_examples_of_the_module_read() {
    let parlour = read(
        r#"(
            document: harp,
            version: 1,
            name: "Parlour harp",
            strings: preset(strings: 22, lowest: "G3", tuning: "Eb", levers_on: ["F", "C"]),
        )"#,
    )
    .unwrap()
    .harp();
    assert_eq!((parlour.name(), parlour.strings().len()), ("Parlour harp", 22));
    // G3 to G6 has three octaves: three F and three C, by counting.
    assert_eq!(parlour.strings().iter().filter(|string| string.lever.is_fitted()).count(), 6);
    assert_eq!(parlour.strings()[21].open.ascii(), "G3");

    let listed = read(
        r#"(document: harp, version: 1, name: "Three", strings: listed([
            (open: "C7", lever: fitted),
            (open: "Bb6", lever: measured(cents: 98.5), across_mm: 15.9, lever_above_mm: 64.0),
            (open: "Ab6", lever: none),
            (open: "G6", lever: fitted, sound: (open_db: [0.0, -9.5, -21.0], raised_db: [0.0, -11.0], stiffness: 0.0002, raised_rattle: 0.02)),
            (open: "F6", lever: fitted, sound: (open_db: [-1.5, 0.0])),
        ]))"#,
    )
    .unwrap()
    .harp();
    let timbre = |levels: &[f64]| Timbre::new(levels).ok();
    let heard = StringSound {
        open: timbre(&[0.0, -9.5, -21.0]),
        raised: timbre(&[0.0, -11.0]),
        stiffness: Stiffness::new(0.0002),
        open_rattle: None,
        raised_rattle: Rattle::new(0.02),
    };
    let sounds: Vec<StringSound> = listed.strings().iter().map(|string| string.sound).collect();
    let only_open = StringSound { open: timbre(&[-1.5, 0.0]), ..StringSound::UNHEARD };
    assert_eq!(sounds[2..], [StringSound::UNHEARD, heard, only_open]);
    assert_eq!(listed.strings()[1].lever, Lever::Fitted { measured: Some(Cents::new(98.5)) });
    assert_eq!(listed.strings()[1].place.lever_above, Millimetres::new(64.0));
    assert_eq!(listed.strings()[2].lever, Lever::NotFitted);
}

/// By hand: of seven letters from C5 down to C4 each loses half a millimetre of 14 upward, and the levers sink by 10 mm. What a string
/// says of itself goes before.
#[test]
fn a_harp_says_how_it_is_built_by_register() {
    let geometry =
        r#"geometry: (spacing_mm: [("C4", 14.0), ("C5", 10.5)], lever_above_mm: [("C5", 230.0), ("C4", 300.0)])"#;
    let document = read(&format!(
        r#"(document: harp, version: 1, strings: preset(strings: 22, lowest: "G3", tuning: "Eb"), {geometry})"#
    ))
    .unwrap();
    let harp = document.harp();
    let place = |harp: &Harp, open: &str| harp.string_of_letter(open.parse().unwrap()).unwrap().1.place;
    assert_eq!((harp.strings().len(), harp.usual_tuning()), (22, Some(Tuning::EFlat)));
    assert!((place(&harp, "G4").across.get() - place(&harp, "A4").across.get() - 12.0).abs() < 1e-9);
    assert_eq!(place(&harp, "A4").lever_above, Millimetres::new(250.0));
    assert_eq!(read(&String::from_utf8(document.write().unwrap()).unwrap()), Ok(document), "nothing is lost");

    let listed = read(&format!(
        r#"(document: harp, version: 1, strings: listed([
            (open: "C5", lever: fitted), (open: "B4", lever: fitted, lever_above_mm: 77.0), (open: "A4", lever: none),
        ]), {geometry})"#
    ));
    let listed = listed.unwrap().harp();
    let across: Vec<f64> = listed.strings().iter().map(|string| string.place.across.get()).collect();
    assert_eq!(across, [0.0, 11.0, 22.5]);
    assert_eq!(listed.strings()[1].place.lever_above, Millimetres::new(77.0));

    let refused = |geometry: &str| {
        let strings = r#"strings: preset(strings: 22, lowest: "G3", tuning: "Eb")"#;
        refusal(&format!("(document: harp, version: 1, {strings}, geometry: ({geometry}))"))
    };
    for (geometry, said) in [
        (r#"spacing_mm: [("C4", 0.1)]"#, "5 to 50 mm"),
        (r#"spacing_mm: [("C4", NaN)]"#, "5 to 50 mm"),
        (r#"lever_above_mm: [("C4", -1.0)]"#, "geometry.lever_above_mm"),
        (r#"spacing_mm: [("X4", 15.0)]"#, "geometry.spacing_mm"),
        (r#"spacing_mm: [("C4", 15.0), ("C#4", 14.0)]"#, "the same string twice"),
        (r#"width_mm: 3.0"#, "line 1, column"),
    ] {
        let line = refused(geometry);
        assert!(line.contains(said), "{geometry}: {line}");
    }
}

#[test]
fn a_usual_harp_is_written_as_a_player_would() {
    let document = HarpDocument::Preset {
        name: String::new(),
        preset: Preset::with_strings(34).unwrap(),
        tuning: Tuning::EFlat,
        levers_on: None,
    };
    let text = String::from_utf8(document.write().unwrap()).unwrap();
    let squeezed: String = text.split_whitespace().collect();
    assert_eq!(squeezed, r#"(document:harp,version:1,strings:preset(strings:34,lowest:"C2",tuning:"Eb",),)"#, "{text}");
}

#[test]
fn a_newer_version_is_left_alone_even_where_its_fields_are_unknown() {
    let line = refusal("(document: harp, version: 2, shape: triangle(sides: [1, 2]), strings: 4)");
    assert!(line.contains("newer Leverlane"), "{line}");
    assert!(matches!(read("(document: harp, version: 0, strings: 4)"), Err(DocumentError::Invalid(_))));
    assert!(matches!(read("(document: piece, version: 1)"), Err(DocumentError::OtherKind(_))));
}

#[test]
fn what_makes_no_harp_is_refused_with_its_place() {
    let one =
        |string: &str| refusal(&format!("(document: harp, version: 1, name: \"x\", strings: listed([{string}]))"));
    for (string, said) in [
        (r#"(open: "H4", lever: fitted)"#, "string 1, open"),
        (r#"(open: "C4", lever: measured(cents: 1e9))"#, "0 to 300 cents"),
        (r#"(open: "C4", lever: measured(cents: NaN))"#, "0 to 300 cents"),
        (r#"(open: "C4", lever: measured(cents: inf))"#, "0 to 300 cents"),
        (r#"(open: "C4", lever: fitted, across_mm: -1.0)"#, "across_mm"),
        (r#"(open: "C4", lever: fitted, sound: (open_db: []))"#, "string 1, sound, open_db: found 0 partials"),
        (r#"(open: "C4", lever: fitted, sound: (raised_db: [0,0,0,0,0,0,0,0,0,0,0,0,0]))"#, "13 partials"),
        (r#"(open: "C4", lever: fitted, sound: (open_db: [0.0, NaN]))"#, "-120 to 0 dB"),
        (r#"(open: "C4", lever: fitted, sound: (open_db: [0.0, -inf]))"#, "-120 to 0 dB"),
        (r#"(open: "C4", lever: fitted, sound: (open_db: [0.0, 3.0]))"#, "-120 to 0 dB"),
        (r#"(open: "C4", lever: fitted, sound: (open_db: [-6.0]))"#, "-6 dB as the highest level"),
        (r#"(open: "C4", lever: fitted, sound: (stiffness: 1e300))"#, "a stiffness of 0 to 0.05"),
        (r#"(open: "C4", lever: fitted, sound: (stiffness: NaN))"#, "string 1, sound, stiffness"),
        (r#"(open: "C4", lever: fitted, sound: (raised_rattle: 1.5))"#, "string 1, sound, raised_rattle: found 1.5"),
        (r#"(open: "C4", lever: fitted, sound: (open_rattle: NaN))"#, "a share of 0 to 1"),
        (r#"(open: "C4", lever: fitted, sound: (loud: 1))"#, "line 1, column"),
        (r#"(open: "C4", lever: 3)"#, "line 1, column"),
        (r#"(open: 4, lever: fitted)"#, "line 1, column"),
        (r#"(open: "C4", lever: fitted, colour: "red")"#, "line 1, column"),
        (r#"(open: "C4", lever: fitted), (open: "D4", lever: fitted)"#, "does not lie below"),
        ("", "0 strings"),
    ] {
        let line = one(string);
        assert!(line.contains(said), "{string}: {line}");
    }
    let preset = |text: &str| refusal(&format!("(document: harp, version: 1, strings: preset({text}))"));
    assert!(preset(r#"strings: 20, tuning: "C""#).contains("19 strings"));
    assert!(preset(r#"strings: 22, lowest: "A3", tuning: "C""#).contains("G3"));
    assert!(preset(r#"strings: 22, tuning: "D""#).contains("Eb"));
    assert!(preset(r#"strings: 22, tuning: "C", levers_on: ["FC"]"#).contains("a letter A to G"));
    assert!(preset(r#"strings: 99999999999999999999, tuning: "C""#).contains("line 1, column"));
    assert!(preset(r#"strings: -1, tuning: "C""#).contains("line 1, column"));
}

#[test]
fn garbage_is_refused_with_line_and_column() {
    let deep = "(".repeat(1_000_000);
    let deep_ignored = format!("(document: harp, version: 9, x: {}", "[".repeat(1_000_000));
    let long = "x".repeat(1_000_000);
    for bad in ["", "\n\n  {", "document: harp", "\u{feff}", &deep, &deep_ignored, &long, "(document: harp"] {
        assert!(refusal(bad).starts_with("line "), "{}", bad.chars().take(40).collect::<String>());
    }
    let line = refusal("(\n  document: harp,\n  version: one)");
    assert!(line.starts_with("line 3, column "), "{line}");
    assert!(HarpDocument::read(b"\xff\xfe(\0d\0").is_err());
    assert!(HarpDocument::read(&[b'(', 0xC3, 0x28]).is_err());
}

fn any_sound() -> impl Strategy<Value = StringSound> {
    let timbre = || {
        let amplitudes = proptest::collection::vec(0.0..=1.0, 0..16);
        amplitudes.prop_map(|amplitudes: Vec<f64>| Timbre::of_amplitudes(&amplitudes))
    };
    let stiffness = proptest::option::of(0.0..=0.05).prop_map(|b| b.and_then(Stiffness::new));
    let rattle = || proptest::option::of(0.0..=1.0).prop_map(|share| share.and_then(Rattle::new));
    let all = (timbre(), timbre(), stiffness, rattle(), rattle());
    all.prop_map(|(open, raised, stiffness, open_rattle, raised_rattle)| StringSound {
        open,
        raised,
        stiffness,
        open_rattle,
        raised_rattle,
    })
}

type DrawnString = (u8, i8, Lever, f64, f64, StringSound);

fn any_string() -> impl Strategy<Value = DrawnString> {
    let lever = prop_oneof![
        Just(Lever::NotFitted),
        Just(Lever::UNCHECKED),
        (0.0..=300.0).prop_map(|cents| Lever::Fitted { measured: Some(Cents::new(cents)) }),
    ];
    (1..4u8, -1..=1i8, lever, 0.0..5000.0, 0.0..5000.0, any_sound())
}

/// Strings down from E7, by steps of one to three letters.
fn listed(name: String, drawn: &[DrawnString]) -> Harp {
    let mut steps = 7 * 7 + 3;
    let strings = drawn.iter().map(|&(down, alter, lever, across, above, sound)| {
        steps -= i32::from(down);
        let octave = i8::try_from(steps / 7).unwrap();
        HarpString {
            open: SpelledPitch::new(Letter::from_steps(steps), alter, octave).unwrap(),
            lever,
            place: StringPlace { across: Millimetres::new(across), lever_above: Millimetres::new(above) },
            sound,
        }
    });
    Harp::new(name, strings.collect()).unwrap()
}

fn any_document() -> impl Strategy<Value = HarpDocument> {
    let letters = proptest::collection::vec(proptest::sample::select(Letter::ALL.to_vec()), 0..4);
    let usual = (
        ".*",
        proptest::sample::select(Preset::ALL.to_vec()),
        proptest::sample::select(Tuning::ALL.to_vec()),
        proptest::option::of(letters),
    );
    prop_oneof![
        usual.prop_map(|(name, preset, tuning, levers_on)| HarpDocument::Preset { name, preset, tuning, levers_on }),
        (".*", proptest::collection::vec(any_string(), 1..16))
            .prop_map(|(name, drawn)| HarpDocument::Listed(listed(name, &drawn))),
    ]
}

proptest! {
    #[test]
    fn every_harp_reads_back_as_it_was(document in any_document()) {
        let bytes = document.write().unwrap();
        prop_assert_eq!(HarpDocument::read(&bytes).unwrap(), document);
    }

    #[test]
    fn no_bytes_make_it_stumble(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        prop_assert!(HarpDocument::read(&bytes).is_err());
    }

    /// One byte changed, left out or doubled in a good document.
    #[test]
    fn no_damage_makes_it_stumble(document in any_document(), at in any::<proptest::sample::Index>(), byte in any::<u8>()) {
        let bytes = document.write().unwrap();
        let at = at.index(bytes.len());
        let mut changed = bytes.clone();
        changed[at] = byte;
        let truncated = bytes[..at].to_vec();
        for damaged in [changed, truncated] {
            if let Err(error) = HarpDocument::read(&damaged) {
                prop_assert!(!error.to_string().contains('\n'));
            }
        }
    }
}
