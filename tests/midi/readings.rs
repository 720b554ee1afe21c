//! Notes, grid, names and quantising against the outside readers.

use std::collections::{BTreeMap, BTreeSet};

use leverlane_core::score::{BarIndex, NoteKind, Score, Tie};
use leverlane_core::time::Ticks;
use leverlane_formats::{Imported, Limits, import};

use crate::outside::{Reference, references};

/// A note with its ties joined, in file ticks from the start.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Sounding {
    tick: i64,
    length: i64,
    midi: u8,
    name: String,
    rolled: bool,
}

fn read(bytes: &[u8]) -> Imported {
    import(bytes, &Limits::USUAL).unwrap_or_else(|error| panic!("{error}"))
}

fn starts(score: &Score) -> Vec<Ticks> {
    let mut at = Ticks::ZERO;
    let mut start = |length: Ticks| {
        at += length;
        at - length
    };
    score.bars().iter().map(|bar| start(bar.length)).collect()
}

fn file_ticks(ticks: Ticks, division: i64) -> i64 {
    let exact = ticks.get() * division;
    assert_eq!(exact % Ticks::PER_QUARTER, 0, "{ticks} quarters are no whole file ticks");
    exact / Ticks::PER_QUARTER
}

/// The notes of a score, joined over their ties: a tied note goes on where one of its pitch, staff and voice stopped.
fn sounding(score: &Score, division: i64) -> Vec<Sounding> {
    let starts = starts(score);
    let mut found: Vec<Sounding> = Vec::new();
    for (index, part) in score.parts().iter().enumerate() {
        // Unisons of one voice go on side by side.
        let mut waiting: BTreeMap<(usize, u8, u16, u8, Ticks), Vec<usize>> = BTreeMap::new();
        for note in &part.notes {
            let at = starts[note.bar.get()] + note.onset;
            let key = |at| (index, note.staff, note.voice.0, note.pitch.midi().get(), at);
            let place = match note.tie {
                Tie::Continue | Tie::Stop => {
                    let place = waiting.get_mut(&key(at)).and_then(Vec::pop);
                    let place = place.unwrap_or_else(|| panic!("a tie from nowhere: {note:?}"));
                    found[place].length += file_ticks(note.length, division);
                    place
                }
                Tie::None | Tie::Start => {
                    let name = note.pitch.ascii();
                    found.push(Sounding {
                        tick: file_ticks(at, division),
                        length: file_ticks(note.length, division),
                        midi: note.pitch.midi().get(),
                        name: name.trim_end_matches(|c: char| c == '-' || c.is_ascii_digit()).to_owned(),
                        rolled: note.roll.is_some(),
                    });
                    found.len() - 1
                }
            };
            if matches!(note.tie, Tie::Start | Tie::Continue) {
                assert_eq!(note.onset + note.length, score.bars()[note.bar.get()].length, "a tie inside a bar");
                waiting.entry(key(at + note.length)).or_default().push(place);
            }
            assert_eq!(note.kind == NoteKind::Timed, note.length > Ticks::ZERO);
        }
        assert!(waiting.values().all(Vec::is_empty), "a tie to nowhere");
    }
    found.sort();
    found
}

/// Items of the first list that the second lacks, counted with their number.
fn missing<T: Ord + Clone>(wanted: &[T], found: &[T]) -> Vec<T> {
    let mut spare: BTreeMap<&T, usize> = BTreeMap::new();
    for item in found {
        *spare.entry(item).or_default() += 1;
    }
    let mut missing = Vec::new();
    for item in wanted {
        match spare.get_mut(item) {
            Some(count) if *count > 0 => *count -= 1,
            _ => missing.push(item.clone()),
        }
    }
    missing
}

#[test]
fn files_are_read_as_others_read_them() {
    let Some(references) = references() else { return };
    let mut table = Table::default();
    for reference in &references {
        same_notes(reference);
        same_grid(reference);
        table.spelling(reference);
        table.playing(reference);
    }
    table.print();
    assert!(table.names.share() >= 0.99, "spelling: {}", table.names.share());
    assert!(table.onsets.share() >= 0.97, "played notes on their places: {}", table.onsets.share());
}

/// Pieces whose tuplets stand as rounded decimals in the source itself, so that mido and music21 have them a hair beside
/// the thirds and sixths that they mean and that we read: there a 200th of a quarter is let pass.
const ROUNDED_IN_THE_SOURCE: [&str; 3] = ["schubert/Lindenbaum", "cpebach/h186", "weber/concertino_clarinet"];

/// Our notes of a file, each as mido has it where it has one so near.
fn notes_beside(reference: &Reference, file: &[u8]) -> Vec<Sounding> {
    let slack = if ROUNDED_IN_THE_SOURCE.contains(&reference.piece.as_str()) { reference.division / 200 } else { 0 };
    let mut ours = sounding(&read(file).score, reference.division);
    for note in ours.iter_mut().filter(|_| slack > 0) {
        let near = |other: &&(i64, i64, u8)| other.2 == note.midi && (other.0 - note.tick).abs() <= slack;
        let ends_apart = |other: &&(i64, i64, u8)| (other.0 + other.1 - note.tick - note.length).abs();
        if let Some(&(tick, length, _)) = reference.notes.iter().filter(near).min_by_key(ends_apart) {
            let is_same_length = (tick + length - note.tick - note.length).abs() <= slack;
            (note.length, note.tick) = (if is_same_length { length } else { note.length }, tick);
        }
    }
    ours
}

fn same_notes(reference: &Reference) {
    let ours = notes_beside(reference, &reference.file);
    let ours: Vec<_> = ours.iter().map(|note| (note.tick, note.length, note.midi)).collect();
    none_missing(reference, "mido's reading", &reference.notes, &ours);
    assert_eq!(ours.len(), reference.notes.len(), "{}: as many notes as mido", reference.piece);
    let score: Vec<_> = reference.written.iter().map(|note| (note.tick, note.midi)).collect();
    let places: Vec<_> = ours.iter().map(|&(tick, _, midi)| (tick, midi)).collect();
    none_missing(reference, "music21's score", &score, &places);
    // music21's reading of its own file slides away from its score after a grace note or a pickup.
    if missing(&score, &reference.reread).is_empty() {
        none_missing(reference, "music21's reading", &reference.reread, &places);
    } else {
        println!(
            "{}: music21's reading of its own file is not its score; compared with the score only",
            reference.piece
        );
    }
}

fn none_missing<T: Ord + Clone + std::fmt::Debug>(reference: &Reference, what: &str, wanted: &[T], found: &[T]) {
    let lost = missing(wanted, found);
    let some = &lost[..lost.len().min(8)];
    assert!(lost.is_empty(), "{}: {} of {what} are missing, as {some:?}", reference.piece, lost.len());
}

/// Every meter and tempo stands where mido has it, and bar lines run on from each meter.
fn same_grid(reference: &Reference) {
    let imported = read(&reference.file);
    let (score, starts) = (&imported.score, starts(&imported.score));
    let end = starts[starts.len() - 1] + score.bars()[starts.len() - 1].length;
    let mut events = BTreeSet::new();
    for (index, bar) in score.bars().iter().enumerate() {
        let at = file_ticks(starts[index], reference.division);
        events.insert((at, "meter".to_owned(), bar.meter.to_string()));
        for mark in &bar.tempo_marks {
            let at = file_ticks(starts[index] + mark.at, reference.division);
            let micros = (60e6 / mark.tempo.quarters_per_minute()).round();
            events.insert((at, "tempo".to_owned(), micros.to_string()));
        }
    }
    let mut tempo = String::new();
    for (at, kind, value) in &reference.grid {
        if *at >= file_ticks(end, reference.division) {
            continue;
        }
        let repeated = kind == "tempo" && std::mem::replace(&mut tempo, value.clone()) == *value;
        if kind != "key" && !repeated {
            assert!(
                events.contains(&(*at, kind.clone(), value.clone())),
                "{}: {kind} {value} at {at}",
                reference.piece
            );
        }
    }
    let cut = score.bars().iter().filter(|bar| bar.length != bar.meter.bar_length()).count();
    let told = imported.warnings.iter().filter(|warning| warning.bar.is_some()).count();
    assert!(cut <= told + 1, "{}: {cut} bars are not full, {told} warnings", reference.piece);
    assert!(score.bar(BarIndex::new(0)).is_some());
}

#[derive(Clone, Copy, Debug, Default)]
struct Count {
    right: usize,
    all: usize,
}

impl Count {
    fn share(self) -> f64 {
        self.right as f64 / self.all.max(1) as f64
    }

    fn add(&mut self, right: usize, all: usize) -> f64 {
        self.right += right;
        self.all += all;
        right as f64 / all.max(1) as f64
    }
}

/// The figures of all pieces together, and a line for each.
#[derive(Debug, Default)]
struct Table {
    names: Count,
    onsets: Count,
    lengths: Count,
    lines: Vec<String>,
}

impl Table {
    /// How many of music21's notes have their written name in ours.
    fn spelling(&mut self, reference: &Reference) {
        let ours = notes_beside(reference, &reference.file);
        let named: Vec<_> = ours.iter().map(|note| (note.tick, note.midi, note.name.clone())).collect();
        let wanted: Vec<_> = reference.written.iter().map(|note| (note.tick, note.midi, note.name.clone())).collect();
        let share = self.names.add(wanted.len() - missing(&wanted, &named).len(), wanted.len());
        self.lines.push(format!("{:40} names {:6.2} %", reference.piece, share * 100.0));
    }

    /// How many of the unevenly played notes are put on the written place, and how many of them to the written length.
    fn playing(&mut self, reference: &Reference) {
        let ours = notes_beside(reference, &reference.played);
        // What was played: the notes of the written file without the graces, which the playing leaves out.
        let wanted: Vec<_> = reference.notes.iter().filter(|note| note.1 > 0).copied().collect();
        let places = |notes: &[(i64, i64, u8)]| notes.iter().map(|note| (note.0, note.2)).collect::<Vec<_>>();
        let found: Vec<_> = ours.iter().map(|note| (note.tick, note.length, note.midi)).collect();
        let onsets = wanted.len() - missing(&places(&wanted), &places(&found)).len();
        let lengths = wanted.len() - missing(&wanted, &found).len();
        let share = self.onsets.add(onsets, wanted.len());
        let share_of_lengths = self.lengths.add(lengths, wanted.len());
        let rolled = ours.iter().filter(|note| note.rolled).count();
        if let Some(line) = self.lines.last_mut() {
            line.push_str(&format!(
                "  played {:6.2} %, with length {:6.2} %, {} notes, {rolled} rolled",
                share * 100.0,
                share_of_lengths * 100.0,
                wanted.len()
            ));
        }
    }

    fn print(&self) {
        for line in &self.lines {
            println!("{line}");
        }
        let all = [("names", self.names), ("played", self.onsets), ("played with length", self.lengths)];
        for (what, count) in all {
            println!("{what}: {} of {}, {:.2} %", count.right, count.all, count.share() * 100.0);
        }
    }
}
