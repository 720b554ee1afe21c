//! What the demo pieces promise to show really stands in their plans. Counts are by hand from the scores.

use serde_json::Value;

use crate::{demo, plan};

fn greensleeves() -> Value {
    plan(&demo("greensleeves.musicxml"), &["--harp", "34", "--tuning", "Eb"])
}

fn gestures(plan: &Value) -> &[Value] {
    plan["gestures"].as_array().unwrap()
}

/// `open` is the string's open pitch.
fn start<'a>(plan: &'a Value, open: &str) -> &'a str {
    let levers = plan["start"].as_array().unwrap();
    levers.iter().find(|lever| lever["open"] == open).unwrap()["to"].as_str().unwrap()
}

/// Where a string goes, in order: (bar, to).
fn flips<'a>(plan: &'a Value, open: &str) -> Vec<(&'a str, &'a str)> {
    let of_gesture = |gesture: &'a Value| {
        let flips = gesture["flips"].as_array().unwrap().iter().filter(move |flip| flip["open"] == open);
        flips.map(|flip| (gesture["bar"].as_str().unwrap(), flip["to"].as_str().unwrap()))
    };
    gestures(plan).iter().flat_map(of_gesture).collect()
}

#[test]
fn everything_can_be_played_but_one_gesture_is_too_tight_at_the_written_tempo() {
    let plan = greensleeves();
    assert_eq!(plan["totals"]["unplayable"], 0);
    assert_eq!(plan["totals"]["rushed"], 1);
    let rushed: Vec<&Value> = gestures(&plan)
        .iter()
        .filter(|gesture| {
            gesture["available_s"].as_f64().is_some_and(|has| has < gesture["needed_s"].as_f64().unwrap())
        })
        .collect();
    assert_eq!(rushed.len(), 1);
    assert_eq!(rushed[0]["flips"][0]["sounds"], "G#5");
    let top = rushed[0]["top_tempo"].as_f64().unwrap();
    assert!(top < 60.0, "slower than written (dotted quarter = 40)");
    let problem = &plan["problems"][0];
    assert_eq!((&problem["kind"], &problem["bar"]), (&Value::from("rushed"), &rushed[0]["bar"]));
    // Slow enough, the same gesture is at ease.
    let slow = plan_at(&(top * 0.99).to_string());
    assert_eq!(slow["totals"]["rushed"], 0);
}

fn plan_at(tempo: &str) -> Value {
    plan(&demo("greensleeves.musicxml"), &["--tempo", tempo])
}

/// F4: 5, G4: 13, G5: 2, C5: 1, counting the changes of accidental along each string with the repeat played out.
#[test]
fn as_many_flips_as_the_accidentals_ask_for() {
    let plan = greensleeves();
    let counts = ["F4", "G4", "G5", "C5"].map(|open| flips(&plan, open).len());
    assert_eq!(counts, [5, 13, 2, 1]);
    assert_eq!(plan["totals"]["flips"], 21);
}

/// Bars 3 and 7 raise G4 on both times through; in between, for bar 2, it must come back.
#[test]
fn the_repeat_needs_a_reset() {
    let plan = greensleeves();
    let g4 = flips(&plan, "G4");
    let directions: Vec<&str> = g4.iter().map(|&(_, to)| to).collect();
    assert_eq!(directions[..7], ["up", "down", "up", "down", "up", "down", "up"]);
    assert_eq!(g4[0].0, g4[4].0, "the same bar, second time through");
    assert_eq!(flips(&plan, "F4")[..3].iter().map(|&(_, to)| to).collect::<Vec<_>>(), ["up", "down", "up"]);
}

/// The first time comes to bars 1 and 2 from the start setting, the second from bar 7's raised F and G: both must come down then,
/// each once, and nothing else differs.
#[test]
fn the_second_time_is_told_apart() {
    let plan = greensleeves();
    let told: Vec<_> = plan["repeats"].as_array().unwrap().iter().map(|told| (&told["open"], &told["to"])).collect();
    assert_eq!(told, [(&"G4".into(), &"down".into()), (&"F4".into(), &"down".into())]);
    for told in plan["repeats"].as_array().unwrap() {
        assert_eq!((&told["kind"], &told["times"]), (&"flip".into(), &serde_json::json!([2])));
        assert!(told["first"].is_null() && told["then"]["hand"] == "left", "{told}");
    }
}

/// The melodic minor cadence: F and G, neighbours, up in one motion between the last F♮ and G♮ and the first F♯ and G♯.
#[test]
fn one_gesture_moves_two_levers() {
    let plan = greensleeves();
    let pairs: Vec<&Value> =
        gestures(&plan).iter().filter(|gesture| gesture["flips"].as_array().unwrap().len() == 2).collect();
    let cadence = pairs.iter().filter(|gesture| gesture["bar"] == "7").count();
    assert_eq!(cadence, 2, "bar 7, both times");
    for gesture in pairs {
        let flips = gesture["flips"].as_array().unwrap();
        assert_eq!(flips[0]["to"], flips[1]["to"]);
        assert_eq!(flips[0]["string"].as_u64().unwrap() + 1, flips[1]["string"].as_u64().unwrap());
    }
}

/// G♯3 in bars 16 and 32 stands between G♮3s: it is played on the open A♭3 string, which the piece needs for nothing
/// else, though every other A is raised.
#[test]
fn a_respelled_note_saves_flips() {
    let plan = greensleeves();
    assert_eq!(plan["totals"]["respelled"], 2);
    assert_eq!((start(&plan, "Ab3"), start(&plan, "Ab4"), start(&plan, "G3")), ("down", "up", "down"));
    assert!(flips(&plan, "G3").is_empty() && flips(&plan, "Ab3").is_empty());
}

#[test]
fn one_octave_is_raised_and_the_next_is_not() {
    let plan = greensleeves();
    assert_eq!((start(&plan, "F5"), start(&plan, "F4")), ("up", "down"));
}

/// E♮4 to E♭4 in bar 3, back for bar 6; B♮4 in bar 14 after B♭4.
#[test]
fn the_easy_piece_has_three_flips_and_time_for_each() {
    let plan = plan(&demo("auld-lang-syne.musicxml"), &["--harp", "22", "--tuning", "Eb"]);
    assert_eq!(flips(&plan, "Eb4").iter().map(|&(_, to)| to).collect::<Vec<_>>(), ["down", "up"]);
    assert_eq!(flips(&plan, "Bb4").iter().map(|&(_, to)| to).collect::<Vec<_>>(), ["up"]);
    let totals = ["unplayable", "rushed", "flips", "respelled"].map(|total| plan["totals"][total].as_u64().unwrap());
    assert_eq!(totals, [0, 0, 3, 0]);
}

#[test]
fn the_demo_harps_read() {
    let piece = demo("auld-lang-syne.musicxml");
    for (harp, strings) in [("34-strings", 34), ("22-strings-few-levers", 22), ("twelve-strings-measured", 12)] {
        let file = demo(&format!("harps/{harp}.ron"));
        let plan = plan(&piece, &["--harp", file.to_str().unwrap()]);
        assert_eq!(plan["start"].as_array().unwrap().len(), strings, "{harp}");
    }
    // By number of strings or by file, the same harp gives the same plan.
    let file = demo("harps/34-strings.ron");
    let (by_file, by_number) = (plan(&piece, &["--harp", file.to_str().unwrap()]), plan(&piece, &["--harp", "34"]));
    assert_eq!(by_file["harp"], "34 strings in E♭");
    assert_eq!(by_file["gestures"], by_number["gestures"]);
}
