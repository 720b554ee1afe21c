//! How long reading scores takes beside music21 (MusicXML, MIDI) and mido (MIDI), file by file in one run; wanted: a
//! fiftieth of their time. Every twentieth file of the music21 corpus, or all with `LEVERLANE_CORPUS=all`.
//!
//! music21 makes a score, as we do; mido only takes a file apart into its messages, while we also find bars, spelling and
//! hands in it.
#![allow(clippy::expect_used, reason = "a benchmark that can't reach what it compares with has nothing to measure")]
#![allow(clippy::print_stdout, reason = "the table is what this is for")]

use std::collections::BTreeMap;
use std::hint::black_box;
use std::process::{Command, Stdio};
use std::time::Instant;

use leverlane_formats::{Limits, import};
use serde_json::Value;

/// How often we read a file; the quickest time counts.
const TIMES: usize = 3;

fn main() {
    let python = match std::env::var("LEVERLANE_PYTHON") {
        Ok(python) => python,
        Err(_) => {
            println!("no comparison: LEVERLANE_PYTHON names no Python (`cargo xtask bench` sees to it)");
            return;
        }
    };
    let folder = tempfile::tempdir().expect("a folder for the MIDI files");
    let step = if std::env::var("LEVERLANE_CORPUS").is_ok_and(|which| which == "all") { "1" } else { "20" };
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/benches/reading/outside.py");
    let output = Command::new(python).arg(script).arg(folder.path()).arg(step).stderr(Stdio::inherit()).output();
    let output = output.expect("Python runs");
    assert!(output.status.success(), "the outside readers stopped");
    let mut tables: BTreeMap<String, Table> = BTreeMap::new();
    for line in String::from_utf8_lossy(&output.stdout).lines() {
        let facts: Value = serde_json::from_str(line).expect("a line of JSON");
        let kind = facts["kind"].as_str().expect("a kind of file");
        let path = facts["path"].as_str().expect("a path");
        let theirs = facts["seconds"].as_object().expect("seconds");
        tables.entry(kind.to_owned()).or_default().add(&std::fs::read(path).expect("the file"), theirs);
    }
    for (kind, table) in tables {
        table.print(&kind);
    }
}

/// Files of one kind, read by us and by others.
#[derive(Default)]
struct Table {
    files: usize,
    bytes: usize,
    ours: f64,
    theirs: BTreeMap<String, f64>,
}

impl Table {
    fn add(&mut self, bytes: &[u8], theirs: &serde_json::Map<String, Value>) {
        self.files += 1;
        self.bytes += bytes.len();
        self.ours += (0..TIMES)
            .map(|_| {
                let from = Instant::now();
                // A refusal is an answer too; which files are refused is a matter of the tests.
                let _ = black_box(import(black_box(bytes), &Limits::USUAL));
                from.elapsed().as_secs_f64()
            })
            .fold(f64::INFINITY, f64::min);
        for (name, seconds) in theirs {
            *self.theirs.entry(name.clone()).or_default() += seconds.as_f64().expect("seconds");
        }
    }

    fn print(&self, kind: &str) {
        let Table { files, bytes, ours, .. } = self;
        println!("{kind}: {files} files, {:.1} MB: ours {:.1} ms", *bytes as f64 / 1e6, ours * 1e3);
        for (name, seconds) in &self.theirs {
            println!("    {name} {:.1} ms, {:.0} times as long", seconds * 1e3, seconds / ours);
        }
    }
}
