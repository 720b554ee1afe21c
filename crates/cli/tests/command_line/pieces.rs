//! Piece documents, passages from paper, tunes of many, hands by bars and marks in the score. Expected values are
//! derived by hand from what was typed.

use std::fs;
use std::path::Path;

use serde_json::{Value, json};

use super::{demo, leverlane, plan};

const BOOK: &str = "X:1\nT:One\nK:C\nCDEF|\n\nX:7\nT:Two\nK:G\nGABc|^c4|\n";

fn run(arguments: &[&str], folder: &Path) -> super::Ended {
    let placed = |word: &&str| match word.strip_prefix('@') {
        Some(name) => folder.join(name).to_string_lossy().into_owned(),
        None => (*word).to_owned(),
    };
    leverlane(arguments.iter().map(placed))
}

/// `bar beat string direction hand` of each flip.
fn flips(plan: &Value) -> Vec<String> {
    let text = |value: &Value| value.as_str().map_or_else(|| value.to_string(), str::to_owned);
    let mut found = Vec::new();
    for gesture in plan["gestures"].as_array().unwrap() {
        for flip in gesture["flips"].as_array().unwrap() {
            let said = [&gesture["bar"], &gesture["beat"], &flip["open"], &flip["to"], &gesture["hand"]].map(text);
            found.push(said.join(" "));
        }
    }
    found
}

#[test]
fn a_passage_from_paper_is_planned_drilled_and_written_as_midi() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("flips.txt"), "bar 3 beat 2: C5 up\nbar 7 beat 4: C5 down right\n").unwrap();
    let made = ["passage", "@flips.txt", "--bars", "8", "--tempo", "72", "--title", "From paper", "-o", "@p.ron"];
    let answer = run(&[&made[..], &["--json"]].concat(), folder.path()).json();
    assert_eq!((&answer["bars"], &answer["flips"]), (&json!(8), &json!(2)));
    let planned = plan(&folder.path().join("p.ron"), &[]);
    assert_eq!(flips(&planned), ["3 2.0 C5 up left", "7 4.0 C5 down right"]);
    // Bars 2 to 4 of 4/4 at 60 last 12 s, after a count-in of one bar; the seam takes C5 back down.
    let sound = ["sound", "@p.ron", "--bars", "2-4", "--tempo", "60", "-o", "@p.wav", "--passes", "1", "--json"];
    let sound = run(&sound, folder.path()).json();
    assert_eq!((sound["count_in_s"].as_f64(), sound["seam_bars"].as_u64()), (Some(4.0), Some(1)));
    run(&["midi", "@p.ron", "-o", "@p.mid"], folder.path()).text();
    let midi = fs::read(folder.path().join("p.mid")).unwrap();
    let text = String::from_utf8_lossy(&midi);
    assert!(text.contains("C5 up, left hand") && text.contains("C5 down, right hand"), "{text}");
}

#[test]
fn lines_from_paper_that_say_no_flip_are_refused_at_their_place() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("flips.txt"), "bar 3 beat 2: C5 up\nbar 9 beat 1: C5 down\n").unwrap();
    let line = run(&["passage", "@flips.txt", "--bars", "8", "-o", "@p.ron"], folder.path()).refusal();
    assert!(line.contains("line 2 column 5") && line.contains("a bar from 1 to 8"), "{line}");
    assert!(!folder.path().join("p.ron").exists());
}

#[test]
fn a_piece_document_keeps_what_was_decided() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("auld.musicxml");
    fs::copy(demo("auld-lang-syne.musicxml"), &file).unwrap();
    let wishes = ["--harp", "22", "--tuning", "C", "--tempo", "60", "--pace", "improver", "--hands-in", "2-3=left"];
    run(&[&["piece", "@auld.musicxml", "-o", "@a.ron"], &wishes[..]].concat(), folder.path()).text();
    let told = run(&[&["plan", "--json", "@auld.musicxml"], &wishes[..]].concat(), folder.path()).json();
    let saved = run(&["plan", "--json", "@a.ron"], folder.path()).json();
    assert_eq!(saved, told);
    assert_eq!(saved["harp"], "22 strings, C4–C7, C tuning");
    // An argument says more than the document.
    let other = run(&["plan", "--json", "@a.ron", "--harp", "34"], folder.path()).json();
    assert_eq!(other["harp"], "34 strings, C2–A6, E♭ tuning");
    // A score that has changed is refused, since the decisions name its bars.
    fs::write(&file, fs::read(&file).unwrap().iter().chain(b" ").copied().collect::<Vec<u8>>()).unwrap();
    let line = run(&["plan", "@a.ron"], folder.path()).refusal();
    assert!(line.contains("other content"), "{line}");
    // A newer version is refused, and stays as it is.
    let newer = fs::read_to_string(folder.path().join("a.ron")).unwrap().replace("version: 1", "version: 2");
    fs::write(folder.path().join("n.ron"), &newer).unwrap();
    let line = run(&["piece", "@n.ron", "-o", "@n.ron"], folder.path()).refusal();
    assert!(line.contains("newer Leverlane"), "{line}");
    assert_eq!(fs::read_to_string(folder.path().join("n.ron")).unwrap(), newer);
}

#[test]
fn tunes_are_listed_and_chosen() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("book.abc"), BOOK).unwrap();
    let listed = run(&["tunes", "@book.abc", "--json"], folder.path()).json();
    assert_eq!(listed["tunes"][1], json!({"number": "7", "title": "Two"}));
    let first = run(&["notes", "@book.abc", "--json"], folder.path()).json();
    assert_eq!(first["written"][0]["spelled"], "C4");
    assert!(first["warnings"][0]["reason"].as_str().unwrap().contains("7 Two"), "{first}");
    for wanted in ["7", "two"] {
        let tune = run(&["notes", "@book.abc", "--json", "--tune", wanted], folder.path()).json();
        assert_eq!(tune["written"][0]["spelled"], "G4");
    }
    let line = run(&["notes", "@book.abc", "--tune", "9"], folder.path()).refusal();
    assert!(line.contains("1 One, 7 Two"), "{line}");
    run(&["piece", "@book.abc", "--tune", "7", "--inside", "-o", "@b.ron"], folder.path()).text();
    fs::remove_file(folder.path().join("book.abc")).unwrap();
    let inside = run(&["notes", "@b.ron", "--json"], folder.path()).json();
    assert_eq!(inside["written"][0]["spelled"], "G4");
}

#[test]
fn hands_may_change_with_the_bars() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("book.abc"), BOOK).unwrap();
    let notes = ["notes", "@book.abc", "--json", "--tune", "7"];
    let hands = |more: &[&str]| -> String {
        let answer = run(&[&notes[..], more].concat(), folder.path()).json();
        let written = answer["written"].as_array().unwrap().clone();
        written.iter().map(|note| note["hand"].as_str().unwrap().chars().next().unwrap()).collect()
    };
    assert_eq!(hands(&[]), "rrrrr", "all lie above middle C");
    assert_eq!(hands(&["--hands-in", "1=left"]), "llllr");
    assert_eq!(hands(&["--hands-in", "1-2=left", "--hands-in", "2=split=A4"]), "llllr");
    let line = run(&[&notes[..], &["--hands-in", "8-9=left"]].concat(), folder.path()).refusal();
    assert!(line.contains("printed numbers from 1 to 2"), "{line}");
    let usage = run(&[&notes[..], &["--hands-in", "8-9=both"]].concat(), folder.path());
    assert_eq!(usage.status, Some(2));
}

/// The player wrote F♯ under beat 2; without the mark the flip would stand elsewhere, as near its note as it can.
#[test]
fn a_lever_mark_in_the_score_is_obeyed() {
    let folder = tempfile::tempdir().unwrap();
    let note = |step: &str, alter: i8| {
        let pitch = format!("<pitch><step>{step}</step><alter>{alter}</alter><octave>4</octave></pitch>");
        format!("<note>{pitch}<duration>1</duration></note>")
    };
    let score = |mark: &str| {
        format!(
            "<score-partwise><part id='P'><measure number='1'><attributes><divisions>1</divisions></attributes>{}{mark}{}\
             {}{}</measure><measure number='2'>{}</measure></part></score-partwise>",
            note("F", 0),
            note("A", 0),
            note("A", 0),
            note("A", 0),
            note("F", 1)
        )
    };
    let file = folder.path().join("marked.musicxml");
    let words = |text: &str| format!("<direction><direction-type><words>{text}</words></direction-type></direction>");
    let with = |text: &str| {
        fs::write(&file, score(text)).unwrap();
        plan(&file, &["--tempo", "60"])
    };
    assert_eq!(flips(&with(&words("F♯"))), ["1 2.0 F4 up left"]);
    assert_ne!(flips(&with("")), ["1 2.0 F4 up left"]);
    let unmet = with(&words("B♭"));
    let told =
        unmet["warnings"].as_array().unwrap().iter().find(|told| told["reason"].as_str().unwrap().contains("B♭"));
    assert_eq!(told.unwrap()["bar"], 0);
}

/// A singer's part is kept as a cue line: the harp's notes are those of its own part, the document remembers the line,
/// and its notes are heard unless they are left out.
#[test]
fn another_part_is_kept_as_a_cue_line() {
    let folder = tempfile::tempdir().unwrap();
    let voices = "V:1 name=\"Voice\"\nV:2 name=\"Harp high\"\nV:3 name=\"Harp low\"\n";
    let song = format!("X:1\nT:Song\nM:4/4\nL:1/4\n{voices}K:C\nV:1\nGAGA|\nV:2\nc4|\nV:3\nC,4|\n");
    fs::write(folder.path().join("song.abc"), song).unwrap();
    let kept = ["piece", "@song.abc", "--part", "Harp high", "--part", "Harp low", "--cue-line", "Voice"];
    run(&[&kept[..], &["-o", "@song.ron"]].concat(), folder.path()).text();
    let document = fs::read_to_string(folder.path().join("song.ron")).unwrap();
    assert!(document.contains("cue_line: 0,"), "{document}");
    let wav = |mute: &[&str], name: &str| {
        let sound = ["sound", "@song.ron", "--bars", "1-1", "--tempo", "60", "--passes", "1", "-o", name];
        run(&[&sound[..], mute].concat(), folder.path()).text();
        fs::read(folder.path().join(&name[1..])).unwrap()
    };
    let others = ["--mute", "click", "--mute", "cue", "--mute", "left", "--mute", "right"];
    let is_silent = |wav: &[u8]| wav[44..].iter().all(|byte| *byte == 0);
    assert!(!is_silent(&wav(&others, "@guide.wav")));
    assert!(is_silent(&wav(&[&others[..], &["--mute", "guide"]].concat(), "@silent.wav")));
    let line = run(&["plan", "@song.abc", "--cue-line", "Flute"], folder.path()).refusal();
    assert!(line.contains("there is no part \"Flute\""), "{line}");
}
