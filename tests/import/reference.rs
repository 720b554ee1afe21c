//! What music21 reads, and the order in which partitura plays, each asked for in one Python process.

use std::io::{BufRead, BufReader, Write};
use std::path::PathBuf;
use std::process::{Command, Stdio};

use serde_json::Value;

/// music21's folder, and the MusicXML files in it by their names there.
pub struct Corpus {
    pub folder: PathBuf,
    pub names: Vec<String>,
}

/// One note: part and bar from 0, onset and length in quarters as fractions, the sounding pitch.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct NoteRow {
    pub part: usize,
    pub bar: usize,
    pub onset: Fraction,
    pub midi: u8,
    pub quarters: Fraction,
    pub grace: bool,
    pub staff: u8,
}

/// A fraction, not necessarily in lowest terms; the denominator is positive.
#[derive(Clone, Copy, Debug)]
pub struct Fraction(pub i64, pub i64);

impl Fraction {
    fn cross(self, other: Fraction) -> (i128, i128) {
        let times = |a: i64, b: i64| i128::from(a) * i128::from(b);
        (times(self.0, other.1), times(other.0, self.1))
    }

    /// Whether two places are the same but for music21's own rounding, which keeps denominators up to 65,535 and so is
    /// out by less than that part of a quarter, and for half a tick of ours.
    pub fn meets(self, other: Fraction) -> bool {
        let (a, b) = self.cross(other);
        (a - b).abs() * 50_000 <= i128::from(self.1) * i128::from(other.1)
    }
}

impl PartialEq for Fraction {
    fn eq(&self, other: &Self) -> bool {
        let (a, b) = self.cross(*other);
        a == b
    }
}

impl Eq for Fraction {}

impl PartialOrd for Fraction {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Fraction {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        let (a, b) = self.cross(*other);
        a.cmp(&b)
    }
}

/// One file as music21 reads it.
pub struct Reading {
    pub name: String,
    pub notes: Result<Vec<NoteRow>, String>,
    pub order: Order,
}

/// A playing order by bar indices, or why there is none.
type Order = Result<Vec<usize>, String>;

fn python(script: &str) -> Command {
    let interpreter = std::env::var("LEVERLANE_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let mut command = Command::new(interpreter);
    command.arg(format!("{}/import/{script}", env!("CARGO_MANIFEST_DIR")));
    command
}

const MUSIC21: &str = "music21_notes.py";
const PARTITURA: &str = "partitura_orders.py";

/// Where music21 is, or why it can't be asked: it isn't installed.
pub fn corpus() -> Result<Corpus, String> {
    let output = python(MUSIC21).arg("--where").output().map_err(|error| format!("no Python to run: {error}"))?;
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    if !output.status.success() {
        let errors = String::from_utf8_lossy(&output.stderr).into_owned();
        let missing = errors.lines().last().unwrap_or("").to_owned();
        assert!(missing.contains("ModuleNotFoundError"), "the script failed: {errors}");
        return Err(missing);
    }
    let mut lines = text.lines().map(str::to_owned);
    Ok(Corpus { folder: PathBuf::from(lines.next().expect("a folder")), names: lines.collect() })
}

/// Has music21 read the files of those names.
pub fn read(names: &[String]) -> Vec<Reading> {
    answers(&mut python(MUSIC21), names).iter().map(reading).collect()
}

/// Has partitura play the files of those names in music21's folder.
pub fn third_orders(corpus: &Corpus, names: &[String]) -> Vec<Order> {
    answers(python(PARTITURA).arg(&corpus.folder), names).iter().map(order).collect()
}

/// A script's answer for each of the names.
fn answers(script: &mut Command, names: &[String]) -> Vec<Value> {
    let piped = script.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null());
    let mut child = piped.spawn().expect("Python runs");
    let (mut to, from) = (child.stdin.take().expect("piped"), child.stdout.take().expect("piped"));
    let asked = names.join("\n");
    let writer = std::thread::spawn(move || to.write_all(asked.as_bytes()));
    let answers: Vec<Value> = BufReader::new(from)
        .lines()
        .map(|line| serde_json::from_str(&line.expect("text")).expect("a line of JSON"))
        .collect();
    writer.join().expect("no panic").expect("the script reads its input");
    assert!(child.wait().expect("the script ends").success());
    assert_eq!(answers.len(), names.len(), "the script answered for every file");
    answers
}

fn reading(answer: &Value) -> Reading {
    let text = |value: &Value| value.as_str().unwrap_or("").to_owned();
    let notes = match answer.get("error") {
        Some(error) => Err(text(error)),
        None => Ok(answer["notes"].as_array().expect("notes").iter().map(row).collect()),
    };
    Reading { name: text(&answer["file"]), notes, order: order(answer) }
}

fn order(answer: &Value) -> Order {
    match answer.get("order").and_then(Value::as_array) {
        Some(bars) => Ok(bars.iter().map(index).collect()),
        None => Err(answer.get("order_error").and_then(Value::as_str).unwrap_or("").to_owned()),
    }
}

fn index(value: &Value) -> usize {
    value.as_u64().and_then(|index| usize::try_from(index).ok()).expect("an index")
}

fn row(value: &Value) -> NoteRow {
    let fraction = |value: &Value| {
        let (numerator, denominator) = value.as_str().and_then(|text| text.split_once('/')).expect("a fraction");
        Fraction(numerator.parse().expect("a number"), denominator.parse().expect("a number"))
    };
    let small = |value: &Value| u8::try_from(index(value)).expect("a small number");
    NoteRow {
        part: index(&value[0]),
        bar: index(&value[1]),
        onset: fraction(&value[2]),
        midi: small(&value[3]),
        quarters: fraction(&value[4]),
        grace: value[5].as_bool().expect("a truth value"),
        staff: small(&value[6]),
    }
}
