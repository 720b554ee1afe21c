use super::super::source::Origin;
use super::*;

fn marks(text: &str) -> Vec<Mark> {
    let line = SourceLine { origin: Origin::File, number: 1, first_column: 1, text };
    cut(&line).unwrap().into_iter().map(|token| token.mark).collect()
}

fn fault(text: &str) -> String {
    let line = SourceLine { origin: Origin::File, number: 3, first_column: 1, text };
    crate::ImportError::from(cut(&line).unwrap_err()).to_string()
}

fn sign(text: &str) -> (u8, u8, bool) {
    match marks(text)[..] {
        [Mark::Bar(sign)] => (sign.repeats_before, sign.repeats_after, sign.ends_section),
        ref other => panic!("{text}: {other:?}"),
    }
}

/// ABC 2.1 §4.3 (from memory).
#[test]
fn lengths() {
    let length = |text| match marks(text)[..] {
        [Mark::Note { length, .. }] => (length.above, length.below),
        ref other => panic!("{text}: {other:?}"),
    };
    for (text, expected) in [
        ("A", (1, 1)),
        ("A3", (3, 1)),
        ("A/", (1, 2)),
        ("A//", (1, 4)),
        ("A3/2", (3, 2)),
        ("A/4", (1, 4)),
        ("A3/", (3, 2)),
    ] {
        assert_eq!(length(text), expected, "{text}");
    }
}

#[test]
fn pitches() {
    let note = |accidental, letter, octaves| Mark::Note {
        accidental,
        letter,
        octaves,
        length: Multiplier { above: 1, below: 1 },
    };
    assert_eq!(marks("^c' __B,, =e"), [note(Some(1), 'c', 1), note(Some(-2), 'B', -2), note(Some(0), 'e', 0)]);
}

/// ABC 2.1 §4.8 (from memory).
#[test]
fn bar_signs() {
    for (text, expected) in [
        ("|", (0, 0, false)),
        (".|", (0, 0, false)),
        ("||", (0, 0, true)),
        ("|]", (0, 0, true)),
        ("[|", (0, 0, true)),
        ("|:", (0, 1, false)),
        (":|", (1, 0, false)),
        ("::", (1, 1, false)),
        (":|:", (1, 1, false)),
        (":||:", (1, 1, true)),
        ("|::", (0, 2, false)),
        ("::|", (2, 0, false)),
        (":|]", (1, 0, true)),
        ("[|:", (0, 1, true)),
    ] {
        assert_eq!(sign(text), expected, "{text}");
    }
}

/// Signs that stand together are read one by one: the invisible bar and the end of a repeat, the end and a beginning.
#[test]
fn bar_signs_in_a_row() {
    let signs = |text: &str| {
        let sign = |mark| match mark {
            Mark::Bar(sign) => (sign.repeats_before, sign.repeats_after, sign.ends_section),
            other => panic!("{text}: {other:?}"),
        };
        marks(text).into_iter().map(sign).collect::<Vec<_>>()
    };
    assert_eq!(signs("[|]:|"), [(0, 0, false), (1, 0, false)]);
    assert_eq!(signs("|]:|"), [(0, 0, true), (1, 0, false)]);
    assert_eq!(signs("|][|:"), [(0, 0, true), (0, 1, true)]);
    assert_eq!(signs("|::|"), [(0, 0, false), (2, 0, false)]);
    assert_eq!(signs(":||:"), [(1, 1, true)]);
    assert_eq!(marks("a : b")[1], Mark::Stray(":".to_owned()));
}

#[test]
fn endings_of_every_shape() {
    let endings = |text: &str| {
        let endings = marks(text).into_iter().filter_map(|mark| match mark {
            Mark::Ending(passes) => Some(passes),
            _ => None,
        });
        endings.collect::<Vec<_>>()
    };
    assert_eq!(endings("|1 A :|2 B |]"), [[1], [2]]);
    assert_eq!(endings("| [1 A :| [2 B |]"), [[1], [2]]);
    assert_eq!(endings("|1,3 A :|[2-4 B |]"), [vec![1, 3], vec![2, 3, 4]]);
    assert_eq!(endings("[0 A"), [] as [Vec<u8>; 0]);
    assert_eq!(endings("[1-99999999999999999999 A"), [(1..=99).collect::<Vec<u8>>()]);
}

#[test]
fn brackets_mean_four_things() {
    assert_eq!(marks("[K:Dm]"), [Mark::Field('K', "Dm".to_owned())]);
    assert!(matches!(marks("[CE]2")[..], [Mark::ChordOpen, _, _, Mark::ChordClose(Multiplier { above: 2, below: 1 })]));
    assert!(matches!(marks("[|] a")[..], [Mark::Bar(_), Mark::Note { .. }]));
    assert!(matches!(marks("[CE]|]")[3..], [Mark::ChordClose(_), Mark::Bar(BarSign { ends_section: true, .. })]));
}

#[test]
fn decorations_and_old_line_breaks() {
    assert!(matches!(&marks("!trill!a")[..], [Mark::Decoration(name), Mark::Note { .. }] if name == "trill"));
    assert!(matches!(&marks("+fermata+a")[..], [Mark::Decoration(name), Mark::Note { .. }] if name == "fermata"));
    assert!(matches!(marks("+E3A3+c")[..], [Mark::ChordOpen, _, _, Mark::ChordClose(_), Mark::Note { .. }]));
    // Found by fuzzing: an accidental without its note was read for ever.
    assert!(matches!(&marks("+^/+a")[..], [Mark::ChordOpen, Mark::Stray(_), Mark::Stray(_), Mark::ChordClose(_), _]));
    assert!(matches!(&marks("+ff+a")[..], [Mark::Decoration(name), Mark::Note { .. }] if name == "ff"));
    assert!(matches!(marks("abc !")[..], [Mark::Note { .. }, Mark::Note { .. }, Mark::Note { .. }]));
    assert!(matches!(marks("a|!b|!")[..], [Mark::Note { .. }, Mark::Bar(_), Mark::Note { .. }, Mark::Bar(_)]));
    assert!(matches!(marks("~a .b Tc")[..], [Mark::Symbol('~'), _, Mark::Symbol('.'), _, Mark::Symbol('T'), _]));
}

#[test]
fn faults_say_where() {
    assert!(fault("ab [ceg").starts_with("line 3 column 4: found a chord that is not closed"), "{}", fault("ab [ceg"));
    assert!(fault("a{bc d").starts_with("line 3 column 2: "), "{}", fault("a{bc d"));
    assert!(fault("a \"Am").starts_with("line 3 column 3: "));
    assert!(fault("é [K:G").starts_with("line 3 column 3: "), "columns count characters, not bytes");
    assert!(fault("[ce [g]").starts_with("line 3 column 5: "));
    assert!(fault("^_a").starts_with("line 3 column 1: "));
}
