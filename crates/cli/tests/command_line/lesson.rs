//! Lessons written and told, results put beside each other, and what is neither.

use std::fs;

use crate::{demo, leverlane, plan};

#[test]
fn a_lesson_is_made_and_told() {
    let folder = tempfile::tempdir().unwrap();
    let (score, out) = (demo("greensleeves.musicxml"), folder.path().join("lesson.ron"));
    let (score, out) = (score.to_str().unwrap(), out.to_str().unwrap());
    let harp = ["--harp", "34", "--tuning", "C"];
    let made =
        ["lesson", "make", score, "-o", out, "--title", "Two flips", "--note", "Slowly.", "--flip", "1", "--flip"];
    let answer = leverlane(made.into_iter().chain(["2", "--start", "50", "--json"]).chain(harp)).json();
    assert_eq!(answer["chunks"].as_array().unwrap().len(), 2);
    let told = leverlane(["lesson", "show", "--json", out]).json();
    let lesson = &told["lessons"][0];
    assert_eq!((lesson["title"].as_str(), lesson["note"].as_str()), (Some("Two flips"), Some("Slowly.")));
    let planned = plan(&demo("greensleeves.musicxml"), &harp);
    for (chunk, gesture) in [0, 1].map(|n| (&lesson["chunks"][n], &planned["gestures"][n])) {
        assert_eq!(chunk["string"], gesture["flips"][0]["string"]);
        assert_eq!(chunk["to"], gesture["flips"][0]["to"]);
        // Half the goal, to the nearest whole beat.
        let (start, goal) = (chunk["start"].as_f64().unwrap(), chunk["goal"].as_f64().unwrap());
        assert!((start / goal - 0.5).abs() < 0.02, "{start} of {goal}");
    }
    let line = leverlane(["lesson", "make", score, "-o", out, "--flip", "999"]).refusal();
    assert!(line.contains("there is no flip 999"), "{line}");
}

#[test]
fn results_of_several_students_stand_beside_each_other() {
    let folder = tempfile::tempdir().unwrap();
    let results = |student: &str, held: &str| {
        let file = folder.path().join(format!("{student}.ron"));
        let text = format!(
            "(document: results, version: 1, student: \"{student}\", lesson: \"L\", piece: \"Greensleeves\", flips: [\
             (flip: \"bar 4: G4 up\", days: [(day: 20782, passes: 9, judged: 8, clean: 6, held: {held})])])"
        );
        fs::write(&file, text).unwrap();
        file.to_str().unwrap().to_owned()
    };
    let files = [results("Zoe", "72.5"), results("Ann", "66.0")];
    let told = leverlane(["lesson", "show", &files[0], &files[1]]).text();
    let lines: Vec<&str> = told.lines().collect();
    assert_eq!(lines.len(), 2);
    assert_eq!(lines[0], "Greensleeves, bar 4: G4 up: Ann, held 66 quarters a minute, 6 of 8 passes clean on 1 days");
    assert!(lines[1].contains(": Zoe, held 72.5"), "{told}");
}

#[test]
fn what_is_neither_is_refused_in_one_line() {
    let folder = tempfile::tempdir().unwrap();
    for (number, (text, word)) in [
        ("(document: lesson, version: 7)", "newer"),
        ("(document: results, version: 1, student: 5)", "line 1"),
        ("(document: harp, version: 1)", "lesson"),
        ("\u{0}\u{1}\u{2} nothing at all", "line 1"),
    ]
    .into_iter()
    .enumerate()
    {
        let file = folder.path().join(format!("{number}.ron"));
        fs::write(&file, text).unwrap();
        let line = leverlane(["lesson", "show", file.to_str().unwrap()]).refusal();
        assert!(line.contains(word), "{word}: {line}");
    }
}
