//! A piece written as MIDI and read back by the program itself.

use crate::{demo, leverlane, notes, plan};

#[test]
fn a_piece_written_as_midi_reads_back_with_its_flips_told() {
    let folder = tempfile::tempdir().unwrap();
    let (score, out) = (demo("greensleeves.musicxml"), folder.path().join("out.mid"));
    let arguments = ["midi", "--json", score.to_str().unwrap(), "--harp", "34", "--tuning", "C", "-o"];
    let answer = leverlane(arguments.map(std::ffi::OsStr::new).into_iter().chain([out.as_os_str()])).json();
    let planned = plan(&score, &["--harp", "34", "--tuning", "C"]);
    assert_eq!(answer["flips"], planned["totals"]["flips"]);
    // The file is the piece as played, its bars one after the other.
    let (as_score, as_midi) = (notes(&score, &[]), notes(&out, &[]));
    let bars = |answer: &serde_json::Value| answer["order"].as_array().unwrap().len();
    assert_eq!(bars(&as_midi), bars(&as_score));
    assert_eq!(as_midi["bars"].as_array().unwrap().len(), bars(&as_score));
}

#[test]
fn the_score_itself_is_not_written_over() {
    let folder = tempfile::tempdir().unwrap();
    let copy = folder.path().join("tune.musicxml");
    std::fs::copy(demo("greensleeves.musicxml"), &copy).unwrap();
    let line = leverlane(["midi", copy.to_str().unwrap(), "-o", copy.to_str().unwrap()]).refusal();
    assert!(line.contains("this is the score itself"), "{line}");
    assert_eq!(std::fs::read(&copy).unwrap(), std::fs::read(demo("greensleeves.musicxml")).unwrap());
}
