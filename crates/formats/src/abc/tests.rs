//! What tunes sound like, hand-counted. Sections are those of ABC 2.1, from memory.

use leverlane_core::pitch::Key;
use leverlane_core::score::{Hand, HandRule, Hands, NoteKind, Tie};

use super::*;
use crate::Imported;

fn read_text(text: &str) -> Imported {
    read(text.as_bytes(), &Limits::USUAL).unwrap_or_else(|error| panic!("{text}: {error}"))
}

/// A tune in 4/4 with eighths as its unit, in C unless the body says otherwise.
fn tune(body: &str) -> Imported {
    read_text(&format!("X:1\nT:t\nM:4/4\nL:1/8\nK:C\n{body}\n"))
}

/// The notes of each bar, as name, length in quarters; a brace before graces, an underscore after what is tied on.
fn bars_of(imported: &Imported) -> Vec<String> {
    let score = &imported.score;
    let mut bars = vec![String::new(); score.bars().len()];
    for (_, note) in score.notes() {
        let bar = &mut bars[note.bar.get()];
        if !bar.is_empty() {
            bar.push(' ');
        }
        let tied = if matches!(note.tie, Tie::Start | Tie::Continue) { "_" } else { "" };
        let length = note.length.to_string();
        let length = length.trim_end_matches("/1");
        match note.kind {
            NoteKind::Grace(_) => bar.push_str(&format!("{{{}", note.pitch.ascii())),
            NoteKind::Timed => bar.push_str(&format!("{}:{length}{tied}", note.pitch.ascii())),
        }
    }
    bars
}

/// The order of playing, by bar index.
fn order(body: &str) -> String {
    let played: Vec<String> = tune(body).order.bars().iter().map(|bar| bar.get().to_string()).collect();
    played.join(" ")
}

fn refusal(body: &str) -> String {
    let text = format!("X:1\nK:C\n{body}\n");
    read(text.as_bytes(), &Limits::USUAL).unwrap_err().to_string()
}

#[track_caller]
fn check(body: &str, expected: &[&str]) {
    assert_eq!(bars_of(&tune(body)), expected, "{body}");
}

#[test]
fn pitches_lengths_and_rests() {
    check("C,2 C c c' z2|^F/ _B3/2 x2 =F//", &["C3:1 C4:1/2 C5:1/2 C6:1/2", "F#4:1/4 Bb4:3/4 F4:1/8"]);
    check("C8|Z2|X|C8|", &["C4:4", "", "", "", "C4:4"]);
    check("C y2 D `E % a remark\nF|", &["C4:1/2 D4:1/2 E4:1/2 F4:1/2"]);
}

/// §4.4: a sign lengthens by a half, two by three quarters; §4.20 lets graces stand between.
#[test]
fn broken_rhythm_reaches_across_what_has_no_time() {
    check("A>B A<B A>>B A<<B|", &["A4:3/4 B4:1/4 A4:1/4 B4:3/4 A4:7/8 B4:1/8 A4:1/8 B4:7/8"]);
    check(
        "(A>)B A>{cd}!trill!B A2-<A2 [CE]>\"Am\"z|",
        &["A4:3/4 B4:1/4 A4:3/4 {C5 {D5 B4:1/4 A4:1/2_ A4:3/2 C4:3/4 E4:3/4"],
    );
}

/// §4.13: three in the time of two; two, four or eight in that of three; five and seven by the meter.
#[test]
fn tuplets() {
    check("(3ABc (3:2:2A2B (2AB|", &["A4:1/3 B4:1/3 C5:1/3 A4:2/3 B4:1/3 A4:3/4 B4:3/4"]);
    check(
        "(5ABcde|[M:6/8](5ABcde|",
        &["A4:1/5 B4:1/5 C5:1/5 D5:1/5 E5:1/5", "A4:3/10 B4:3/10 C5:3/10 D5:3/10 E5:3/10"],
    );
    check("(3A>Bc|", &["A4:1/2 B4:1/6 C5:1/3"]);
}

/// §4.17: a chord is as long as its first note; the length after the bracket multiplies.
#[test]
fn chords_and_graces() {
    check("[CEG]2 [C2E4] c|", &["C4:1 E4:1 G4:1 C4:1 E4:2 C5:1/2"]);
    check("{/g}A {[ce]d}B {f}|c|", &["{G5 A4:1/2 {C5 {E5 {D5 B4:1/2", "{F5 C5:1/2"]);
}

/// §11.3: pitch is the default, so all octaves; the directive changes it.
#[test]
fn accidentals_hold_to_the_bar_line() {
    check("^F F f =F F|F|", &["F#4:1/2 F#4:1/2 F#5:1/2 F4:1/2 F4:1/2", "F4:1/2"]);
    assert!(tune("^F f|").warnings.iter().any(|warning| warning.reason.contains("octaves")));
    assert!(tune("^F F|^F ^f f|").warnings.iter().all(|warning| !warning.reason.contains("octaves")));
    check("%%propagate-accidentals octave\n^F F f|", &["F#4:1/2 F#4:1/2 F5:1/2"]);
    check("I:propagate-accidentals not\n^F F|", &["F#4:1/2 F4:1/2"]);
    check("{^f}g f|", &["{F#5 G5:1/2 F#5:1/2"]);
}

#[test]
fn ties_carry_accidentals_over_the_bar_line() {
    check("^c4-|c2 c2-|^c2|", &["C#5:2_", "C#5:1 C5:1", "C#5:1"]);
    check("[CE]2-[CE]2 [C-E]2[CE]2|", &["C4:1_ E4:1_ C4:1 E4:1 C4:1_ E4:1 C4:1 E4:1"]);
    assert!(tune("c2-d2|").warnings[0].reason.contains("tie"));
    // Into a first and a second ending alike.
    let endings = tune("A4-|1 A4:|2 A4|]");
    let ties: Vec<Tie> = endings.score.notes().map(|(_, note)| note.tie).collect();
    assert_eq!(ties, [Tie::Start, Tie::Stop, Tie::Stop]);
}

#[test]
fn fields_change_on_the_way() {
    let imported = tune("F2|[K:G]F2|\nK:Dm\nB2 F2|[L:1/4]B[M:3/4]|B3|\nQ:1/4=60\nB|");
    assert_eq!(bars_of(&imported), ["F4:1", "F#4:1", "Bb4:1 F4:1", "Bb4:1", "Bb4:3", "Bb4:1"]);
    let bars = imported.score.bars();
    assert_eq!(bars.iter().map(|bar| bar.key.fifths()).collect::<Vec<_>>(), [0, 1, -1, -1, -1, -1]);
    assert_eq!(bars[3].meter.to_string(), "4/4");
    assert_eq!(bars[4].meter.to_string(), "3/4");
    assert_eq!(bars[5].tempo_marks[0].tempo.quarters_per_minute(), 60.0);
}

/// §4.8–4.10, and what §4.8 leaves to the reader.
#[test]
fn repeats_and_endings() {
    assert_eq!(order("|:A8|B8:|c8|"), "0 1 0 1 2");
    assert_eq!(order("A8|B8:|c8|d8:|"), "0 1 0 1 2 3 2 3");
    assert_eq!(order("A8||B8:|"), "0 1 1");
    assert_eq!(order("|:A8||B8:|"), "0 1 0 1");
    assert_eq!(order("A8::B8:|"), "0 0 1 1");
    assert_eq!(order("|::A8::|"), "0 0 0");
    assert_eq!(order("|:A8|B8[|]:|c8|"), "0 1 0 1 2");
    assert_eq!(order("|:A8|1B8:|2c8|]d8|"), "0 1 0 2 3");
    assert_eq!(order("|:A8|1B8:|2c8:|d8:|"), "0 1 0 2 3 3");
    assert_eq!(order("|:A8|[1,3 B8:|[2 c8:|[4 d8|]"), "0 1 0 2 0 1 0 3");
    assert_eq!(order("|:A8|[1 B8|c8:|[2 d8|e8||f8|"), "0 1 2 0 3 4 5");
    assert_eq!(order("A8|B8 !D.C.!|]"), "0 1 0 1");
    assert_eq!(order("A8!fine!|B8 !D.C.!|"), "0 1 0");
    assert_eq!(order("A8|!segno!B8|c8!D.S.!|"), "0 1 2 1 2");
    assert_eq!(order("A8|B8!dacoda!|c8!D.C.!|!coda!d8|"), "0 1 2 0 1 3");
}

#[test]
fn parts_are_played_in_their_order() {
    let text = |order: &str| format!("X:1\nP:{order}\nM:4/4\nL:1/8\nK:C\nP:A\nA8:|\nP:B\nB8|c8|\n");
    let played = |order: &str| read_text(&text(order)).order.bars().iter().map(|bar| bar.get()).collect::<Vec<_>>();
    assert_eq!(played("ABA"), [0, 0, 1, 2, 0, 0]);
    assert_eq!(played("B2"), [1, 2, 1, 2]);
    assert_eq!(played("AX"), [0, 0, 1, 2], "an order that names no part of the tune is not followed");
    assert!(read_text(&text("AX")).warnings.iter().any(|warning| warning.reason.contains("AX")));
}

/// A pickup counts from its bar's end; so does the rest of a bar that a repeat sign splits.
#[test]
fn pickups_and_split_bars() {
    let bars = |body: &str| {
        let imported = tune(body);
        let bar = |bar: &leverlane_core::score::Bar| format!("{} {} {}", bar.number, bar.length, bar.anacrusis);
        imported.score.bars().iter().map(bar).collect::<Vec<_>>()
    };
    assert_eq!(
        bars("G2|A8|B6:|G2|c8|d6|]"),
        ["0 1/1 3/1", "1 4/1 0/1", "2 3/1 0/1", "2 1/1 3/1", "3 4/1 0/1", "4 3/1 0/1"]
    );
    assert_eq!(bars("A8|B6:|2 c6|]"), ["1 4/1 0/1", "2 3/1 0/1", "3 3/1 0/1"], "an ending begins on the first beat");
    let odd = tune("A8|B6|c8|d9|");
    let told: Vec<String> = odd.warnings.iter().map(ToString::to_string).collect();
    assert_eq!(told.len(), 2, "{told:?}");
    let free = read_text("X:1\nM:none\nL:1/8\nK:C\nABc|d|\n");
    assert_eq!(free.score.bars()[0].meter.to_string(), "3/8");
}

#[test]
fn voices_become_hands() {
    let text = "X:1\nM:4/4\nL:1/4\nV:LH clef=bass name=\"Left\"\nV:RH clef=treble\nK:C\nV:LH\nC,2 G,2|\nV:RH\nc2 e2|\n";
    let imported = read_text(text);
    let [part] = imported.score.parts() else { panic!("one part") };
    assert_eq!(part.staves, 2);
    let hands = Hands::assign(&imported.score, &HandRule::Usual);
    for (reference, note) in imported.score.notes() {
        let expected = if note.pitch.octave() >= 5 { Hand::Right } else { Hand::Left };
        assert_eq!(hands.of(reference), Some(expected), "{}", note.pitch);
    }
    let inline = read_text("X:1\nL:1/4\nK:C\n[V:1]c2|d2|\n[V:2]C2|D2|\n");
    assert_eq!((inline.score.parts().len(), inline.score.parts()[0].staves), (1, 2));
    let three = "X:1\nL:1/4\nK:C\nV:1\nc|\nV:2\nG|\nV:3\nC|\n";
    assert_eq!(read_text(three).score.parts().len(), 3);
    let scored = three.replace("K:C", "%%score {(1 2) | 3}\nK:C");
    let scored = read_text(&scored);
    assert_eq!((scored.score.parts().len(), scored.score.parts()[0].staves), (1, 2));
    assert_eq!(scored.score.notes().map(|(_, note)| note.staff).collect::<Vec<_>>(), [2, 1, 1]);
}

/// §7.4: an overlay goes back to the bar's beginning.
#[test]
fn overlays_are_voices_of_their_staff() {
    let imported = tune("c4 d4 & E8 & C8|e8|");
    assert_eq!(bars_of(&imported)[0], "C4:4 E4:4 C5:2 D5:2");
    assert_eq!(imported.score.bars()[0].length.to_string(), "4/1");
    assert_eq!(imported.score.parts()[0].voices.len(), 3);
}

/// §4.6: "octave=" shifts, "treble-8" sounds an octave lower, "transpose=" by semitones, spelled in the moved key.
#[test]
fn octaves_and_transposition() {
    let sounds = |key: &str| bars_of(&read_text(&format!("X:1\nL:1/4\nK:{key}\nC F|\n")))[0].clone();
    assert_eq!(sounds("C octave=-1"), "C3:1 F3:1");
    assert_eq!(sounds("C clef=treble-8"), "C3:1 F3:1");
    assert_eq!(sounds("C transpose=2"), "D4:1 G4:1");
    assert_eq!(sounds("C transpose=-3"), "A3:1 D4:1");
    assert_eq!(sounds("D transpose=1"), "D4:1 G4:1", "C sharp and F sharp of D major become those of E flat");
}

/// §4.16 and §4.14: letters and names that mean something, and those that nobody knows.
#[test]
fn decorations_are_passed_over() {
    let imported = tune("U:W=!arpeggio!\nHc ~d .e uv[HC6E6] W[CEG]2 !wobble!c +trill+d kc|");
    let held: Vec<bool> = imported.score.notes().map(|(_, note)| note.held).collect();
    assert!(held[0] && !held[1] && held[3] && held[4]);
    assert_eq!(imported.score.notes().filter(|(_, note)| note.roll.is_some()).count(), 3);
    let told: Vec<&str> = imported.warnings.iter().map(|warning| &*warning.reason).collect();
    assert!(told.iter().any(|reason| reason.contains("wobble")) && told.iter().any(|reason| reason.contains("\"k\"")));
    assert!(told.iter().all(|reason| !reason.contains("trill")));
}

/// §4.14: a finger's number goes to the next note; before a chord, or inside one, each note has its own.
#[test]
fn fingers_are_kept() {
    let imported = tune("!1!c !2!!3!d e !1!!2!!4![gec] [!1!g!3!c]|");
    let fingers: Vec<Vec<u8>> =
        imported.score.notes().map(|(_, note)| note.fingers.iter().map(|finger| finger.get()).collect()).collect();
    // The score has a chord's notes from low to high.
    let expected: [&[u8]; 8] = [&[1], &[2, 3], &[], &[4], &[2], &[1], &[3], &[1]];
    assert_eq!(fingers, expected);
    assert_eq!(imported.warnings.len(), 0);
}

#[test]
fn what_can_not_be_read_says_where() {
    for (body, place) in [
        ("ab|c [ceg", "line 3 column 6"),
        ("c d\n\"Am", "line 4 column 1"),
        ("[K:H]c", "line 3 column 4"),
        ("c[M:9]", "line 3 column 5"),
        ("c>>>>>>>d", "line 3 column 2"),
        ("(0ab", "line 3 column 1"),
        ("c0", "line 3 column 1"),
        ("c/0", "line 3 column 1"),
        ("c''''''''''''", "line 3 column 1"),
        ("c99999999999999999999", "line 3 column 1"),
        ("L:0", "line 3 column 3"),
    ] {
        let said = refusal(body);
        assert!(said.starts_with(place), "{body}: {said}");
        assert!(!said.contains('\n'));
    }
    assert!(refusal("z8|").contains("without notes"));
    assert!(refusal("").contains("without notes"));
}

#[test]
fn limits_are_kept() {
    let limits = Limits { notes: 5, bars: 4, played_bars: 6, bar_quarters: 8, bytes: 200, ..Limits::USUAL };
    let refused = |body: &str| {
        let text = format!("X:1\nL:1/4\nK:C\n{body}\n");
        let error = read(text.as_bytes(), &limits).unwrap_err();
        assert!(matches!(error, ImportError::LimitReached(_)), "{body}: {error}");
    };
    for body in ["cccccc|", "c|c|c|c|c|c|", "Z9", "Z999999999", "c9", "|:c|d|e|:||:f:|", "|::::::::c:::::::|"] {
        refused(body);
    }
    refused(&"%".repeat(300));
    // Parts within parts: six bars of one note each are played, then of two.
    let parts = |body: &str| {
        let limits = Limits { played_notes: 11, ..Limits::USUAL };
        read(format!("X:1\nL:1/4\nP:((A)3)2\nK:C\nP:A\n{body}|\n").as_bytes(), &limits)
    };
    assert_eq!(parts("c").unwrap().order.bars().len(), 6);
    assert!(parts("cc").unwrap_err().to_string().contains("12 notes of 2, expected at most 11 played notes"));
    let voices: String = (0..60).map(|voice| format!("[V:{voice}]Z50000\n")).collect();
    let all = read(format!("X:1\nK:C\n{voices}c|\n").as_bytes(), &Limits::USUAL);
    assert!(matches!(all, Err(ImportError::LimitReached(_))), "three million bars");
}

#[test]
fn empty_lines_end_a_tune_unless_music_goes_on() {
    let imported = tune("A8|\n\nB8|\n\nThis tune was noted down in Kerry.\n");
    assert_eq!(bars_of(&imported).len(), 2);
    assert!(imported.warnings.iter().any(|warning| warning.reason.contains("empty line")));
    assert!(read_text("X:1\nT:t\nABc|\n").warnings[0].reason.contains("K:"));
}

#[test]
fn passages_are_typed_for_two_hands() {
    let settings = PassageSettings { key: Key::from_fifths(2).unwrap(), ..PassageSettings::default() };
    let imported = passage("f2 c2 d4|\n\nf8|", "D,8|[D,A,]8|", &settings, &Limits::USUAL).unwrap();
    assert_eq!(bars_of(&imported), ["D3:4 F#5:1 C#5:1 D5:2", "D3:4 A3:4 F#5:4"]);
    assert!(imported.warnings.is_empty(), "{:?}", imported.warnings);
    assert_eq!(imported.score.bars()[0].tempo_marks[0].tempo, settings.tempo);
    let hands = Hands::assign(&imported.score, &HandRule::Usual);
    assert!(imported.score.notes().all(|(reference, note)| {
        hands.of(reference) == Some(if note.pitch.octave() >= 5 { Hand::Right } else { Hand::Left })
    }));
    // One hand alone is that hand, whatever its pitches.
    let left = passage("", "c8|", &settings, &Limits::USUAL).unwrap();
    let hands = Hands::assign(&left.score, &HandRule::Usual);
    assert!(left.score.notes().all(|(reference, _)| hands.of(reference) == Some(Hand::Left)));
}

#[test]
fn the_caret_goes_into_the_right_text() {
    let settings = PassageSettings::default();
    let wrong = |right: &str, left: &str| {
        let error = passage(right, left, &settings, &Limits::USUAL).unwrap_err();
        (error.hand, error.line, error.column)
    };
    assert_eq!(wrong("c d\n\ne [f", "C"), (Some(Hand::Right), 3, 3));
    assert_eq!(wrong("c", "C ^ D"), (Some(Hand::Left), 1, 3));
    assert_eq!(wrong("c é", "C"), (Some(Hand::Right), 1, 3));
    assert_eq!(wrong("c", "C,,,,,,,,"), (Some(Hand::Left), 1, 1));
    assert_eq!(wrong("", " "), (None, 0, 0));
    let uneven = passage("c8|d8|", "C8|", &settings, &Limits::USUAL).unwrap();
    assert!(uneven.warnings[0].reason.contains("left hand"), "{}", uneven.warnings[0]);
}
