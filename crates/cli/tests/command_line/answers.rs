//! What the commands answer.

use std::fs;

use serde_json::{Value, json};

use crate::musicxml::{HEAD, note, score};
use crate::{demo, leverlane, notes, plan};

fn keys(value: &Value) -> Vec<&str> {
    let mut keys: Vec<&str> = value.as_object().unwrap().keys().map(String::as_str).collect();
    keys.sort_unstable();
    keys
}

fn sorted<const N: usize>(mut keys: [&str; N]) -> [&str; N] {
    keys.sort_unstable();
    keys
}

/// The field names are a promise (README); nothing may go or be renamed.
#[test]
fn the_fields_of_the_answers() {
    let piece = demo("greensleeves.musicxml");
    let read = notes(&piece, &[]);
    assert_eq!(keys(&read), sorted(["bars", "order", "written", "warnings"]));
    assert_eq!(keys(&read["bars"][0]), sorted(["index", "number", "quarters"]));
    let of_note = ["bar", "onset", "midi", "spelled", "quarters", "grace", "staff", "voice", "hand", "tie"];
    assert_eq!(keys(&read["written"][0]), sorted(of_note));

    let planned = plan(&piece, &[]);
    assert_eq!(
        keys(&planned),
        sorted(["harp", "start", "gestures", "problems", "repeats", "totals", "warnings", "proof"])
    );
    assert_eq!(keys(&planned["start"][0]), sorted(["string", "open", "to"]));
    let of_gesture =
        ["bar", "index", "beat", "onset", "hand", "flips", "needed_s", "available_s", "top_tempo", "why", "look"];
    assert_eq!(keys(&planned["gestures"][0]), sorted(of_gesture));
    assert_eq!(keys(&planned["gestures"][0]["why"]), sorted(["cost", "rushed", "parts", "next_best"]));
    assert_eq!(keys(&planned["gestures"][0]["look"]), sorted(["lever_s", "strings_s", "by_feel", "leaps_by_feel"]));
    for gesture in planned["gestures"].as_array().unwrap() {
        let parts = gesture["why"]["parts"].as_array().unwrap();
        let sum: u64 = parts.iter().map(|part| part["cost"].as_u64().unwrap()).sum();
        assert_eq!(gesture["why"]["cost"].as_u64(), Some(sum));
        assert!(gesture["look"]["lever_s"].as_f64() <= Some(0.0));
    }
    assert_eq!(keys(&planned["gestures"][0]["flips"][0]), sorted(["string", "open", "to", "sounds"]));
    assert_eq!(keys(&planned["problems"][0]), sorted(["kind", "bar", "index", "beat", "notes", "ways_out"]));
    assert_eq!(keys(&planned["totals"]), sorted(["unplayable", "rushed", "flips", "respelled", "comfort"]));
}

/// Both demo pieces in one harp's programme: each once, and what is set between them counted.
#[test]
fn a_programme_of_two_pieces() {
    let pieces = ["greensleeves.musicxml", "auld-lang-syne.musicxml"].map(demo);
    let files = pieces.each_ref().map(|piece| piece.to_str().unwrap());
    let ask = |more: &[&str]| -> Value {
        let arguments = ["programme", "--json"].into_iter().chain(files).chain(more.iter().copied());
        serde_json::from_str(&leverlane(arguments).text()).unwrap()
    };
    let (best, kept) = (ask(&[]), ask(&["--keep"]));
    let order = best["order"].as_array().unwrap();
    assert_eq!(order.len(), 2);
    assert_eq!(best["best_possible"], true);
    assert_eq!(best["moved"].as_u64().unwrap(), order[1]["set"].as_array().unwrap().len() as u64);
    assert!(best["moved"].as_u64() <= kept["moved"].as_u64());
    assert_eq!(kept["order"][0]["title"], "Greensleeves");
    assert_eq!(best["retuned"], 0);
}

/// Every usual tuning once, best first by the order of the totals.
#[test]
fn tunings_are_ranked() {
    let piece = demo("greensleeves.musicxml");
    let answer = leverlane(["tunings", "--json", piece.to_str().unwrap()]).text();
    let answer: Value = serde_json::from_str(&answer).unwrap();
    let ranked = answer["tunings"].as_array().unwrap();
    let mut names: Vec<&str> = ranked.iter().map(|tuning| tuning["tuning"].as_str().unwrap()).collect();
    let key = |tuning: &Value| {
        let of = |name: &str| tuning["totals"][name].as_u64().unwrap();
        (of("unplayable"), of("rushed"), 10 * of("flips") + 4 * of("respelled"), of("comfort"))
    };
    let keys: Vec<_> = ranked.iter().map(key).collect();
    assert!(keys.is_sorted(), "{keys:?}");
    assert_eq!(ranked[0]["totals"], plan(&piece, &["--tuning", names[0]])["totals"]);
    names.sort_unstable();
    assert_eq!(names, ["Ab", "Bb", "C", "Eb", "F"]);
}

/// By eye from the score: the upbeat A4; bar 8 and 9 are first and second ending.
#[test]
fn the_notes_of_the_demo() {
    let read = notes(&demo("greensleeves.musicxml"), &[]);
    assert_eq!(read["warnings"], json!([]));
    assert_eq!(read["bars"][0], json!({"index": 0, "number": "0", "quarters": "1/2"}));
    assert_eq!(read["bars"].as_array().unwrap().len(), 35);
    let order: Vec<u64> = read["order"].as_array().unwrap().iter().map(|bar| bar.as_u64().unwrap()).collect();
    let expected: Vec<u64> = (0..=8).chain(1..=7).chain(9..=34).collect();
    assert_eq!(order, expected);
    assert_eq!(
        read["written"][0],
        json!({"bar": 0, "onset": "0/1", "midi": 69, "spelled": "A4", "quarters": "1/2", "grace": false,
               "staff": 1, "voice": "1", "hand": "right", "tie": ""})
    );
    let left = read["written"].as_array().unwrap().iter().find(|note| note["tie"] == "start").unwrap();
    assert_eq!((&left["spelled"], &left["hand"], &left["onset"]), (&json!("C4"), &json!("left"), &json!("1/1")));
}

/// Worked case 1 of the trade's arithmetic: E♭ tuning set to C major; F4, F♯4, F4 → F4 up, F4 down.
#[test]
fn a_plan_in_full() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("case.musicxml");
    let bars = ["F4", "F#4", "F4"].map(|pitch| note(pitch, "4"));
    fs::write(&path, score(&[&format!("{HEAD}{}", bars[0]), &bars[1], &bars[2]])).unwrap();
    let planned = plan(&path, &["--tempo", "60"]);
    assert_eq!(planned["harp"], "34 strings, C2–A6, E♭ tuning");
    assert_eq!(planned["start"].as_array().unwrap().len(), 34);
    assert_eq!(planned["start"][0], json!({"string": 1, "open": "Ab6", "to": "up"}));
    assert_eq!(planned["start"][33], json!({"string": 34, "open": "C2", "to": "down"}));
    let flips: Vec<&Value> =
        planned["gestures"].as_array().unwrap().iter().map(|gesture| &gesture["flips"][0]).collect();
    assert_eq!(
        flips,
        [
            &json!({"string": 17, "open": "F4", "to": "up", "sounds": "F#4"}),
            &json!({"string": 17, "open": "F4", "to": "down", "sounds": "F4"})
        ]
    );
    let ratio = planned["gestures"][0]["onset"].as_str().unwrap();
    let (numerator, denominator) = ratio.split_once('/').unwrap();
    let onset = numerator.parse::<f64>().unwrap() / denominator.parse::<f64>().unwrap();
    assert!(onset > 0.0 && onset < 4.0, "between the plucks: {ratio}");
}

#[test]
fn the_same_question_has_the_same_answer_to_the_byte() {
    let piece = demo("greensleeves.musicxml");
    let ask = || leverlane(["plan", "--json", piece.to_str().unwrap()]).text();
    assert_eq!(ask(), ask());
}

#[test]
fn parts_and_hands_can_be_chosen() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("two.musicxml");
    let part = |id: &str, pitch: &str| {
        format!("<part id=\"{id}\"><measure number=\"1\">{HEAD}{}</measure></part>", note(pitch, "4"))
    };
    fs::write(
        &path,
        format!(
            "<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\"><part-name>Flute</part-name></score-part>\
             <score-part id=\"P2\"><part-name>Harp</part-name></score-part></part-list>{}{}</score-partwise>",
            part("P1", "G5"),
            part("P2", "C3")
        ),
    )
    .unwrap();
    let spelled = |more: &[&str]| -> Vec<String> {
        let read = notes(&path, more);
        let each = read["written"].as_array().unwrap().iter();
        each.map(|note| format!("{} {}", note["spelled"].as_str().unwrap(), note["hand"])).collect()
    };
    assert_eq!(spelled(&[]), ["G5 \"right\"", "C3 \"left\""]);
    assert_eq!(spelled(&["--part", "harp"]), ["C3 \"left\""]);
    assert_eq!(spelled(&["--part", "1"]), ["G5 \"right\""]);
    assert_eq!(spelled(&["--part", "Harp", "--hands", "right"]), ["C3 \"right\""]);
    assert_eq!(spelled(&["--hands", "split=C2"]), ["G5 \"right\"", "C3 \"right\""]);
    let line = leverlane(["notes", path.to_str().unwrap(), "--part", "Cello"]).refusal();
    assert!(line.contains("1 \"Flute\", 2 \"Harp\""), "{line}");
    assert!(leverlane(["notes", path.to_str().unwrap(), "--part", "3"]).refusal().contains("no part \"3\""));
}

/// The tempo doubles in bar 2: 300 at the start would become 600.
#[test]
fn a_tempo_that_later_changes_can_not_follow_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("faster.musicxml");
    let bars =
        [("60", "C4"), ("120", "D4")].map(|(tempo, pitch)| format!("<sound tempo=\"{tempo}\"/>{}", note(pitch, "4")));
    fs::write(&path, score(&[&format!("{HEAD}{}", bars[0]), &bars[1]])).unwrap();
    plan(&path, &["--tempo", "200"]);
    let line = leverlane(["plan", path.to_str().unwrap(), "--tempo", "300"]).refusal();
    assert!(line.contains("600") && line.contains("take another --tempo"), "{line}");
}

#[test]
fn a_plan_reads_well() {
    let text = leverlane(["plan", demo("greensleeves.musicxml").to_str().unwrap()]).text();
    for line in ["Greensleeves", "Before the first note", "  E  all up", "  A  all up but A♭3", "Flips", "Problems"] {
        assert!(text.lines().any(|found| found == line), "{line} is missing:\n{text}");
    }
    assert!(text.contains("too tight") && text.contains("7, 2nd time"), "{text}");
    assert!(text.contains("Not alike each time\n  bar 1, 2nd time: G♯4 → G4 on beat 2½"), "{text}");
}

/// A note that lies off the harp in every bar is told once, with its places.
#[test]
fn a_problem_that_comes_again_is_told_once() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("low.musicxml");
    let bar = format!("{}{}", note("C1", "2"), note("C4", "2"));
    let first = format!("{HEAD}{bar}");
    fs::write(&path, score(&[&[&first[..]][..], &[&bar[..]; 9]].concat())).unwrap();
    let text = leverlane(["plan", path.to_str().unwrap(), "--tuning", "C"]).text();
    let told = "  C1 is not on this harp (C2 to A6), 10 times:\n      bar 1, beat 1; bar 2, beat 1; ";
    assert!(text.contains(told), "{text}");
    assert!(text.contains("bar 8, beat 1; and 2 times more\n"), "{text}");
}

/// At 60 quarters a minute a 6/8 bar lasts 3 s: bars 6 and 7 are 6 s and their seam whole bars more.
#[test]
fn sound_of_two_bars() {
    let folder = tempfile::tempdir().unwrap();
    let wav = folder.path().join("drill.wav");
    let piece = demo("greensleeves.musicxml");
    let arguments = ["sound", piece.to_str().unwrap(), "--json", "--bars", "6-7", "-o", wav.to_str().unwrap()];
    let answer = leverlane([&arguments[..], &["--seconds", "2", "--tempo", "60"]].concat()).json();
    assert_eq!((&answer["sample_rate"], &answer["samples"]), (&json!(48_000), &json!(96_000)));
    assert_eq!(answer["count_in_s"], json!(3.0));
    let seam_bars = answer["seam_bars"].as_f64().unwrap();
    assert!(seam_bars >= 1.0, "F4 and G4 end up and must come down");
    assert_eq!(answer["pass_s"].as_f64().unwrap(), 6.0 + 3.0 * seam_bars);
    // RIFF: 44 bytes of head, two channels of two bytes.
    let bytes = fs::read(&wav).unwrap();
    assert_eq!((&bytes[..4], bytes.len()), (&b"RIFF"[..], 44 + 96_000 * 4));

    assert!(leverlane([&arguments[..], &["--bars", "7-6"]].concat()).status == Some(2), "--bars given twice");
    let with_bars = |bars: &str| {
        let arguments = ["sound", piece.to_str().unwrap(), "--bars", bars, "-o", wav.to_str().unwrap()];
        leverlane(arguments).refusal()
    };
    for bars in ["34-1", "0-99", "x", "", "-"] {
        assert!(with_bars(bars).contains("expected printed numbers from 0 to 34"), "{bars}");
    }
    let own = leverlane(["sound", piece.to_str().unwrap(), "-o", piece.to_str().unwrap()]).refusal();
    assert!(own.contains("the score itself"), "{own}");
    let nowhere = folder.path().join("no folder").join("a.wav");
    leverlane(["sound", piece.to_str().unwrap(), "-o", nowhere.to_str().unwrap(), "--seconds", "1"]).refusal();
    let endless = ["sound", piece.to_str().unwrap(), "-o", wav.to_str().unwrap(), "--passes", "4000000000"];
    assert!(leverlane(endless).refusal().contains("at most 1200 s"));
}
