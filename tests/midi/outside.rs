//! The outside readers: one run of Python for a list of pieces.

use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;
use tempfile::TempDir;

use crate::pieces::{FEW, MORE};

/// What music21 and mido say about one piece.
pub struct Reference {
    /// Its name in the corpus.
    pub piece: String,
    /// The file that music21 wrote.
    pub file: Vec<u8>,
    /// The same, played unevenly.
    pub played: Vec<u8>,
    /// File ticks to the quarter.
    pub division: i64,
    /// The notes as they stand in music21's score, repeats written out.
    pub written: Vec<WrittenNote>,
    /// The notes as mido reads the file: tick, ticks long, MIDI number.
    pub notes: Vec<(i64, i64, u8)>,
    /// The notes as music21 reads the file: tick, MIDI number.
    pub reread: Vec<(i64, u8)>,
    /// Meters, tempos and keys by mido: tick, kind, value.
    pub grid: Vec<(i64, String, String)>,
}

/// A note of music21's score.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct WrittenNote {
    pub tick: i64,
    pub length: i64,
    pub midi: u8,
    /// Letter and accidentals.
    pub name: String,
    pub grace: bool,
}

/// The references, or none where Python can't give them; the reason is printed.
pub fn references() -> Option<Vec<Reference>> {
    let python = std::env::var("LEVERLANE_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let able = Command::new(&python).args(["-c", "import music21, mido"]).output();
    if !able.as_ref().is_ok_and(|output| output.status.success()) {
        println!("skipped: {python} can't import music21 and mido (pip install music21 mido; or set LEVERLANE_PYTHON)");
        return None;
    }
    let all = std::env::var("LEVERLANE_CORPUS").is_ok_and(|which| which == "all");
    let pieces: Vec<&str> = FEW.into_iter().chain(MORE.into_iter().filter(|_| all)).collect();
    let temporary = TempDir::new().unwrap();
    let kept = std::env::var_os("LEVERLANE_MIDI_REFERENCES").map(PathBuf::from);
    let folder = kept.as_deref().unwrap_or(temporary.path());
    if !folder.join(format!("{}.json", pieces.len() - 1)).exists() {
        let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("midi/reference.py");
        let output = Command::new(&python).arg(script).arg(folder).args(&pieces).output().unwrap();
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    }
    let references: Vec<_> = (0..pieces.len()).filter_map(|index| reference(folder, index)).collect();
    assert!(references.len() >= if all { 50 } else { FEW.len() }, "{} pieces are too few", references.len());
    Some(references)
}

fn reference(folder: &Path, index: usize) -> Option<Reference> {
    let bytes = |ending: &str| std::fs::read(folder.join(format!("{index}.{ending}"))).unwrap();
    let facts: Value = serde_json::from_slice(&bytes("json")).unwrap();
    if let Some(reason) = facts["refused"].as_str() {
        println!("{}: music21 can't write it to MIDI: {reason}", facts["piece"]);
        return None;
    }
    let number = |value: &Value| value.as_i64().unwrap();
    let midi = |value: &Value| u8::try_from(number(value)).unwrap();
    let text = |value: &Value| value.as_str().unwrap().to_owned();
    let list = |value: &Value| value.as_array().unwrap().clone();
    let notes: Vec<_> = list(&facts["notes"]).iter().map(|n| (number(&n[0]), number(&n[1]), midi(&n[2]))).collect();
    let written = |notes: &Value| -> Vec<WrittenNote> {
        let note = |n: &Value| WrittenNote {
            tick: number(&n[0]),
            length: number(&n[1]),
            midi: midi(&n[2]),
            name: text(&n[3]),
            grace: n[4].as_bool().unwrap(),
        };
        list(notes).iter().map(note).collect()
    };
    Some(Reference {
        piece: text(&facts["piece"]),
        file: bytes("mid"),
        played: bytes("played.mid"),
        division: number(&facts["division"]),
        written: written(&facts["written"]),
        notes,
        reread: list(&facts["music21"]).iter().map(|n| (number(&n[0]), midi(&n[1]))).collect(),
        grid: list(&facts["grid"]).iter().map(|e| (number(&e[0]), text(&e[1]), text(&e[2]))).collect(),
    })
}
