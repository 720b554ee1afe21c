//! Bias, spread, hesitation and hits of 500 passes, against NumPy, SciPy and mir_eval.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

use leverlane_core::drill::{ChunkSize, Layer};
use leverlane_core::plan::PaceLevel;
use leverlane_core::time::Tempo;
use leverlane_core::verdict::{Freedom, NoteOutcome, Thresholds, judge};
use serde_json::{Value, json};

use crate::piece::Piece;
use crate::student::{Fault, Student};

const PASSES: u64 = 500;

#[test]
fn figures_agree_with_outside_ones() {
    let python = std::env::var("LEVERLANE_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let able = Command::new(&python).args(["-c", "import numpy, scipy, mir_eval"]).output();
    if !able.as_ref().is_ok_and(|output| output.status.success()) {
        println!(
            "skipped: {python} can't import numpy, scipy and mir_eval (pip install them; or set LEVERLANE_PYTHON)"
        );
        return;
    }
    let piece = Piece::demo();
    let limits = Thresholds::of_level(PaceLevel::Fluent);
    let mut asked = Vec::new();
    let mut ours = Vec::new();
    for seed in 0..PASSES {
        let mut student = Student::seeded(10_000 + seed);
        let faults = [Fault::None, Fault::Hesitates, Fault::LeavesOut, Fault::AddsNotes];
        let fault = faults[student.random.below(faults.len())];
        let gesture = student.random.below(piece.gestures());
        let tempo = Tempo::quarters(student.random.between(40.0, 100.0).round()).unwrap();
        let pass = piece.pass(gesture, ChunkSize::BarEachSide, Layer::Both, tempo);
        let (evidence, truth) = student.play(&pass, fault, &limits);
        let verdict = judge(&pass, &evidence, &limits);
        // Outside, the pairs come from the simulator, which knows which note it played for which.
        let notes: Vec<Value> = pass
            .notes
            .iter()
            .zip(&truth.played)
            .map(|(note, played)| json!({ "at": note.at.get(), "midi": note.note.get(), "played": played, "strict": note.freedom == Freedom::Strict }))
            .collect();
        let heard: Vec<Value> =
            evidence.heard.iter().map(|heard| json!([heard.at.get(), heard.pitch().get() / 100.0])).collect();
        let flip = pass.flips[0];
        asked.push(json!({ "notes": notes, "heard": heard, "flip": flip.at.get(), "beat": flip.beat.get() }));
        // mir_eval counts a hit within 50 ms and 50 cents, distances rounded to a tenth of a millisecond.
        let within = |error: f64| (error.abs() * 1e4).round() <= 500.0;
        let near = verdict.notes.iter().filter(|note| note.error.is_some_and(|error| within(error.get())));
        let near = near.filter(|note| note.outcome == NoteOutcome::Hit).count();
        let hesitation = verdict.flips[0].hesitation.map(|hesitation| hesitation.longer_by.get());
        ours.push((verdict.bias.unwrap().get(), verdict.spread.unwrap().get(), hesitation, near));
    }
    let theirs = ask(&python, &Value::Array(asked));
    let mut hits = 0;
    for (number, (ours, theirs)) in ours.iter().zip(theirs.as_array().unwrap()).enumerate() {
        let figure = |name: &str| theirs[name].as_f64();
        assert!((ours.0 - figure("bias").unwrap()).abs() < 1e-9, "pass {number}: bias {} {}", ours.0, theirs["bias"]);
        assert!((ours.1 - figure("spread").unwrap()).abs() < 1e-9, "pass {number}: {} {}", ours.1, theirs["spread"]);
        assert_eq!(ours.2.is_some(), figure("hesitation").is_some(), "pass {number}");
        if let (Some(ours), Some(theirs)) = (ours.2, figure("hesitation")) {
            assert!((ours - theirs).abs() < 1e-9, "pass {number}: hesitation {ours} {theirs}");
        }
        assert_eq!(ours.3 as u64, theirs["hits"].as_u64().unwrap(), "pass {number}: hits within 50 ms");
        hits += ours.3;
    }
    println!("{PASSES} passes agree; {hits} hits");
}

fn ask(python: &str, passes: &Value) -> Value {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("drilling/reference.py");
    let mut running = Command::new(python).arg(script).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    running.stdin.take().unwrap().write_all(passes.to_string().as_bytes()).unwrap();
    let output = running.wait_with_output().unwrap();
    assert!(output.status.success());
    serde_json::from_slice(&output.stdout).unwrap()
}
