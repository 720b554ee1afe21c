//! The tunes of the music21 corpus, read by us and by music21.
//!
//! music21 is run from `LEVERLANE_PYTHON`, else `python3`; where it can't be imported the check is skipped with a printed
//! reason. Its corpus is read where pip put it and never copied. `LEVERLANE_CORPUS=all` reads every tune; else every
//! twentieth is read.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

use leverlane_core::score::{NoteKind, Score};
use leverlane_core::time::Ticks;
use leverlane_formats::abc::Tunebook;
use leverlane_formats::{Imported, Limits};
use serde_json::Value;

use crate::known_differences;

/// The tunes of the four collections in music21 10.5.1, counted by their X: lines.
const ALL_TUNES: usize = 4_433;

/// A note: pitch, length in quarter notes, grace.
type Sound = (u8, String, bool);

#[test]
fn tunes_sound_as_music21_reads_them() {
    let all = std::env::var("LEVERLANE_CORPUS").is_ok_and(|wanted| wanted == "all");
    let every = if all { 1 } else { 20 };
    let Some(reference) = music21(every) else { return };
    let (mut read, mut equal, mut compared, mut refused) = (0, 0, 0, Vec::new());
    let (mut as_written, mut stumbled) = (0, BTreeMap::<&str, usize>::new());
    let (mut notes, mut agreeing, mut agreeing_as_written, mut untouched, mut untouched_equal) = (0, 0, 0, 0, 0);
    let mut unexplained = Vec::new();
    let mut causes: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    let mut files: BTreeMap<String, Vec<u8>> = BTreeMap::new();
    for line in &reference {
        let Some(path) = line["path"].as_str() else {
            assert_eq!(line["tunes"].as_u64().unwrap() as usize, ALL_TUNES, "the corpus is another one");
            continue;
        };
        let bytes = files.entry(path.to_owned()).or_insert_with(|| std::fs::read(path).unwrap());
        let book = Tunebook::open(bytes, &Limits::USUAL).unwrap();
        let index = line["index"].as_u64().unwrap() as usize;
        let entry = book.tunes().nth(index).unwrap().clone();
        let name = format!("{} X:{} {}", Path::new(path).file_stem().unwrap().display(), entry.reference, entry.title);
        match book.read(index) {
            Err(error) => refused.push(format!("{name}: {error}")),
            Ok(imported) => {
                read += 1;
                if line["error"].is_string() {
                    causes.entry("music21 can't read the tune").or_default().push(name);
                    continue;
                }
                compared += 1;
                let (ours, theirs) = (ours(&imported.score), theirs(&line["plain"]));
                let theirs_as_written = self::theirs(&line["as_written"]);
                let equal_as_written = ours == theirs_as_written;
                as_written += usize::from(equal_as_written);
                notes += ours.iter().map(Vec::len).sum::<usize>();
                agreeing += alike(&ours, &theirs);
                agreeing_as_written += alike(&ours, &theirs_as_written);
                let faults = line["stumbled"].as_array().map_or(&[][..], Vec::as_slice);
                untouched += usize::from(faults.is_empty());
                untouched_equal += usize::from(faults.is_empty() && equal_as_written);
                for kind in faults {
                    *stumbled.entry(kind.as_str().unwrap()).or_default() += 1;
                }
                if ours == theirs {
                    equal += 1;
                    continue;
                }
                let text = &bytes[entry.bytes.clone()];
                match known_differences::cause(&String::from_utf8_lossy(text), &imported) {
                    Some(cause) => causes.entry(cause).or_default().push(name),
                    None => unexplained.push(format!("{name}: {}", first_difference(&ours, &theirs, &imported))),
                }
            }
        }
    }
    let tunes = reference.len() - 1;
    let share = |part: usize, of: usize| 100.0 * part as f64 / of as f64;
    println!("{tunes} tunes: {read} read, {compared} compared with music21, of {notes} notes as we read them");
    println!("  as the tunes stand: {as_written} tunes equal ({:.1} %)", share(as_written, compared));
    println!(
        "    {agreeing_as_written} notes equal in order, pitch and length ({:.1} %)",
        share(agreeing_as_written, notes)
    );
    println!("    of {untouched} tunes that music21 reads alike with those marks and without, {untouched_equal} equal");
    println!("  without marks that change no pitch or length: {equal} tunes equal ({:.1} %)", share(equal, compared));
    println!("    {agreeing} notes equal ({:.1} %)", share(agreeing, notes));
    println!("  marks that music21 trips over:");
    for (kind, count) in &stumbled {
        println!("    {kind} made music21 read {count} tunes otherwise");
    }
    for (cause, names) in &causes {
        println!("  {} × {cause}, such as {}", names.len(), names[0]);
    }
    println!("refused:\n  {}", refused.join("\n  "));
    println!("unexplained:\n  {}", unexplained.join("\n  "));
    // The goal: 4,300 of the collections' tunes read, and 95 in 100 of their pitches and lengths equal to music21's, the
    // tunes taken as they stand. Whole tunes are another measure: as they stand music21 10.5.1 trips over the marks listed
    // above in about one of seven (measured); without those marks nearly all are equal to the last note.
    assert!(read * 4_435 >= tunes * 4_300, "only {read} of {tunes} read");
    assert!(agreeing_as_written * 100 >= notes * 95, "only {agreeing_as_written} of {notes} notes equal");
    assert!(equal * 100 >= compared * 95, "only {equal} of {compared} tunes equal without the marks");
    assert!(untouched_equal * 100 >= untouched * 95, "only {untouched_equal} of {untouched} tunes equal");
    assert!(as_written * 100 >= compared * 80, "only {as_written} of {compared} tunes equal as they stand");
    assert!(unexplained.is_empty(), "differences that nobody has explained");
}

/// music21's reading, a line for each tune; none where music21 can't be run.
fn music21(every: usize) -> Option<Vec<Value>> {
    if let Ok(reason) = std::env::var("LEVERLANE_PYTHON_MISSING") {
        println!("skipped: {reason}");
        return None;
    }
    let python = std::env::var("LEVERLANE_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let importable = Command::new(&python).args(["-c", "import music21"]).output();
    if !importable.is_ok_and(|ran| ran.status.success()) {
        println!("skipped: {python} can't import music21 (pip install music21; or set LEVERLANE_PYTHON)");
        return None;
    }
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("abc/music21_tunes.py");
    let ran = Command::new(&python).arg(script).arg(every.to_string()).output().unwrap();
    assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
    Some(String::from_utf8(ran.stdout).unwrap().lines().map(|line| serde_json::from_str(line).unwrap()).collect())
}

/// The notes of each voice in the order of time, chords from the lowest.
fn ours(score: &Score) -> Vec<Vec<Sound>> {
    let mut voices = Vec::new();
    for part in score.parts() {
        for staff in 1..=part.staves {
            let mut notes: Vec<Sound> = Vec::new();
            for note in part.notes.iter().filter(|note| note.staff == staff) {
                let grace = note.kind != NoteKind::Timed;
                let length = if grace { Ticks::ZERO } else { note.length };
                let length = if length == Ticks::ZERO { "0".to_owned() } else { length.to_string() };
                notes.push((note.pitch.midi().get(), length.trim_end_matches("/1").to_owned(), grace));
            }
            voices.push(notes);
        }
    }
    voices.retain(|voice| !voice.is_empty());
    voices
}

/// The same from music21's reading, which has a part for each voice.
fn theirs(notes: &Value) -> Vec<Vec<Sound>> {
    let mut voices: BTreeMap<u64, Vec<(Value, Sound)>> = BTreeMap::new();
    for note in notes.as_array().unwrap() {
        let grace = note[4].as_bool().unwrap();
        let length = if grace { "0" } else { note[3].as_str().unwrap() };
        let sound = (u8::try_from(note[2].as_u64().unwrap()).unwrap(), length.to_owned(), grace);
        voices.entry(note[0].as_u64().unwrap()).or_default().push((note[1].clone(), sound));
    }
    voices
        .into_values()
        .map(|mut notes| {
            // A chord's notes come in the order of writing.
            for group in notes.chunk_by_mut(|(a, x), (b, y)| a == b && !x.2 && !y.2) {
                group.sort_by_key(|(_, sound)| sound.0);
            }
            notes.into_iter().map(|(_, sound)| sound).collect()
        })
        .collect()
}

/// How many of our notes music21 has too, in the same order: the longest sequence that both readings share, voice by
/// voice.
fn alike(ours: &[Vec<Sound>], theirs: &[Vec<Sound>]) -> usize {
    ours.iter().zip(theirs).map(|(ours, theirs)| longest_shared(ours, theirs)).sum()
}

fn longest_shared(ours: &[Sound], theirs: &[Sound]) -> usize {
    let mut row = vec![0; theirs.len() + 1];
    for note in ours {
        let mut before = 0;
        for (place, other) in theirs.iter().enumerate() {
            let above = row[place + 1];
            row[place + 1] = if note == other { before + 1 } else { above.max(row[place]) };
            before = above;
        }
    }
    row[theirs.len()]
}

fn first_difference(ours: &[Vec<Sound>], theirs: &[Vec<Sound>], imported: &Imported) -> String {
    if ours.len() != theirs.len() {
        return format!("{} voices against {}", ours.len(), theirs.len());
    }
    for (ours, theirs) in ours.iter().zip(theirs) {
        if let Some(place) = (0..ours.len().max(theirs.len())).find(|&place| ours.get(place) != theirs.get(place)) {
            let around = |notes: &[Sound]| {
                let from = place.saturating_sub(2).min(notes.len());
                format!("{:?}", &notes[from..notes.len().min(place + 3)])
            };
            let warnings: Vec<String> = imported.warnings.iter().map(ToString::to_string).collect();
            return format!("note {place}: {} against {} ({})", around(ours), around(theirs), warnings.join("; "));
        }
    }
    String::new()
}
