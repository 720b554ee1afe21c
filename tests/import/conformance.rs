//! Notes and playing order against music21's reading of its own corpus.
//!
//! The corpus comes with music21 and stays where it is. A sample runs always; with LEVERLANE_CORPUS=all every MusicXML
//! file of the corpus and of the LilyPond test suite. Where the two readers differ the file is named in
//! [`known_differences`](super::known_differences) with its reason; a file named there that agrees is an error too.
//!
//! Where music21 plays otherwise than we, partitura is asked as well: where those two agree with each other our order has
//! to be a derived one that is named as such, and where all three differ a derived one too.

use std::fmt::Write;

use leverlane_core::score::{NoteKind, Score};
use leverlane_formats::{ImportError, Imported, Limits, import};

use super::known_differences::{AGAINST_BOTH, DERIVED, NOT_DERIVED, NOTES, ORDER, STAFF};
use super::reference::{self, Corpus, Fraction, NoteRow, Reading};

pub(super) const SAMPLE: &str = include_str!("sample.txt");

#[test]
fn notes_and_order_agree_with_music21() {
    // The check programme tells so when it could not provide Python.
    let corpus = match std::env::var("LEVERLANE_PYTHON_MISSING").map_or_else(|_| reference::corpus(), Err) {
        Ok(corpus) => corpus,
        Err(reason) => {
            println!("skipped: music21 can't be imported ({reason}); it comes with pip, given a network");
            return;
        }
    };
    let all = std::env::var("LEVERLANE_CORPUS").is_ok_and(|wanted| wanted == "all");
    let names: Vec<String> = if all { corpus.names.clone() } else { SAMPLE.lines().map(str::to_owned).collect() };
    assert!(names.len() >= 60);
    let mut table = String::new();
    let mut unexplained = 0;
    let (mut corpus_files, mut corpus_equal, mut notes) = (0, 0, 0);
    let mut other_orders = Vec::new();
    for reading in reference::read(&names) {
        let in_corpus = reading.name.starts_with("corpus/");
        let bytes = std::fs::read(corpus.folder.join(&reading.name)).unwrap();
        let ours = import(&bytes, &Limits::USUAL);
        let Differences { by_notes, by_staff, by_order, our_order } = differences(&reading, &bytes, &ours);
        if by_order.is_some() {
            let (name, music21) = (reading.name.clone(), reading.order.clone().ok());
            other_orders.push(OtherOrder { name, ours: our_order, music21 });
        }
        corpus_files += usize::from(in_corpus);
        corpus_equal += usize::from(in_corpus && by_notes.is_none());
        notes += ours.as_ref().map_or(0, |ours| ours.score.notes().count());
        for (kind, known, found) in [("notes", NOTES, by_notes), ("staff", STAFF, by_staff), ("order", ORDER, by_order)]
        {
            let reason = known.iter().find(|(name, _)| *name == reading.name).map(|(_, reason)| *reason);
            match (found, reason) {
                (None, None) => {}
                (Some(found), Some(reason)) => {
                    writeln!(table, "{} ({kind}): {found}\n    known: {reason}", reading.name).unwrap()
                }
                (Some(found), None) => {
                    unexplained += 1;
                    writeln!(table, "{} ({kind}): {found}\n    UNEXPLAINED", reading.name).unwrap();
                }
                (None, Some(_)) => {
                    unexplained += 1;
                    writeln!(table, "{} ({kind}): named as different, but it agrees", reading.name).unwrap();
                }
            }
        }
    }
    println!(
        "{table}{} files, {notes} notes; notes equal in {corpus_equal} of {corpus_files} corpus files",
        names.len()
    );
    assert_eq!(unexplained, 0, "differences without a reason:\n{table}");
    println!("{}", as_partitura_or_derived(&corpus, &other_orders));
    if all {
        assert_eq!(corpus_files, 654, "the files of the music21 10.5 corpus");
        assert!(corpus_equal >= 650);
    }
}

/// The first difference of each kind.
#[derive(Default)]
struct Differences {
    by_notes: Option<String>,
    by_staff: Option<String>,
    by_order: Option<String>,
    /// Our playing order, where we read one.
    our_order: Vec<usize>,
}

/// A file that we and music21 play in different orders; music21 perhaps in none.
struct OtherOrder {
    name: String,
    ours: Vec<usize>,
    music21: Option<Vec<usize>>,
}

/// Judges the orders that differ from music21's, and counts them in a line.
fn as_partitura_or_derived(corpus: &Corpus, others: &[OtherOrder]) -> String {
    let names: Vec<String> = others.iter().map(|other| other.name.clone()).collect();
    let (mut as_we, mut derived, mut wrong) = (0, 0, Vec::new());
    for (OtherOrder { name, ours, music21 }, third) in others.iter().zip(reference::third_orders(corpus, &names)) {
        let third = third.ok();
        let agree = third.is_some() && *music21 == third;
        if agree != AGAINST_BOTH.contains(&name.as_str()) {
            wrong.push(format!("{name}: music21 and partitura agree: {agree}"));
        }
        let order = in_short(ours);
        match DERIVED.iter().find(|(known, _)| known == name) {
            _ if third.as_ref() == Some(ours) => as_we += 1,
            Some((_, by_hand)) if *by_hand == order => derived += 1,
            Some((_, by_hand)) => wrong.push(format!("{name}: we play {order}, by hand it is {by_hand}")),
            None if NOT_DERIVED.contains(&name.as_str()) => {}
            None => wrong.push(format!("{name}: we play {order}, partitura {:?}", third.as_deref().map(in_short))),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    format!("orders unlike music21's: {}; partitura as we: {as_we}; derived by hand: {derived}", others.len())
}

fn differences(theirs: &Reading, bytes: &[u8], ours: &Result<Imported, ImportError>) -> Differences {
    let mut found = Differences::default();
    let with_notes;
    let our_order = match ours {
        Ok(ours) => {
            let our_notes = rows(&ours.score);
            match &theirs.notes {
                Ok(theirs) => {
                    let without_staff = |rows: &[NoteRow]| -> Vec<NoteRow> {
                        rows.iter().map(|row| NoteRow { staff: 0, ..row.clone() }).collect()
                    };
                    found.by_notes = difference_in_notes(&without_staff(theirs), &without_staff(&our_notes));
                    if found.by_notes.is_none() {
                        found.by_staff = difference_in_notes(theirs, &our_notes);
                    }
                }
                Err(error) => found.by_notes = Some(format!("music21 can't read it: {error}")),
            }
            &ours.order
        }
        // Nothing to play for us must be no note for music21 either. The order of the bars can be compared all the same,
        // with notes in place of the rests.
        Err(ImportError::NothingToPlay(_)) => {
            found.by_notes = difference_in_notes(theirs.notes.as_deref().unwrap_or_default(), &[]);
            let Some(instead) = notes_for_rests(bytes) else { return found };
            with_notes = instead;
            &with_notes.order
        }
        Err(error) => {
            found.by_notes = Some(format!("refused: {error}"));
            return found;
        }
    };
    let our_order: Vec<usize> = our_order.bars().iter().map(|bar| bar.get()).collect();
    found.by_order = match &theirs.order {
        Ok(theirs) if *theirs == our_order => None,
        Ok(theirs) => Some(format!("music21 plays {}, we {}", in_short(theirs), in_short(&our_order))),
        Err(error) => Some(format!("music21 can't unroll it: {error}; we play {}", in_short(&our_order))),
    };
    found.our_order = our_order;
    found
}

/// The score of a plain file with a note instead of each rest.
fn notes_for_rests(bytes: &[u8]) -> Option<Imported> {
    let pitch = "<pitch><step>C</step><octave>4</octave></pitch>";
    let text = std::str::from_utf8(bytes).ok()?.replace("<rest/>", pitch).replace("<rest />", pitch);
    import(text.as_bytes(), &Limits::USUAL).ok()
}

/// A playing order by its runs: `0–3 0–5`.
fn in_short(order: &[usize]) -> String {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for &bar in order {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == bar => *last = bar,
            _ => runs.push((bar, bar)),
        }
    }
    runs.iter().map(|(first, last)| format!("{first}–{last}")).collect::<Vec<_>>().join(" ")
}

fn difference_in_notes(theirs: &[NoteRow], ours: &[NoteRow]) -> Option<String> {
    let (theirs, ours) = (in_order(theirs), in_order(ours));
    let alike = |a: &NoteRow, b: &NoteRow| {
        (a.part, a.bar, a.midi, a.grace, a.staff) == (b.part, b.bar, b.midi, b.grace, b.staff)
            && a.onset.meets(b.onset)
            && a.quarters.meets(b.quarters)
    };
    let count = |rows: &[NoteRow], of: &NoteRow| rows.iter().filter(|row| alike(row, of)).count();
    if theirs.len() == ours.len() && theirs.iter().zip(&ours).all(|(a, b)| alike(a, b)) {
        return None;
    }
    let near = |rows: &[NoteRow], of: &NoteRow| {
        let from = rows.partition_point(|row| (row.part, row.bar) < (of.part, of.bar));
        let to = rows.partition_point(|row| (row.part, row.bar) <= (of.part, of.bar));
        rows[from..to].to_vec()
    };
    let lacking = |from: &[NoteRow], of: &[NoteRow]| {
        let missing = |row: &&NoteRow| count(&near(from, row), row) < count(&near(of, row), row);
        of.iter().filter(missing).cloned().collect::<Vec<_>>()
    };
    let (only_theirs, only_ours) = (lacking(&ours, &theirs), lacking(&theirs, &ours));
    if only_theirs.is_empty() && only_ours.is_empty() {
        return None;
    }
    let first = |rows: &[NoteRow]| rows.first().map_or("none".to_owned(), in_words);
    Some(format!(
        "{} notes only in music21 (first {}), {} only in ours (first {})",
        only_theirs.len(),
        first(&only_theirs),
        only_ours.len(),
        first(&only_ours)
    ))
}

fn in_words(row: &NoteRow) -> String {
    let kind = if row.grace { "grace " } else { "" };
    format!(
        "{kind}MIDI {} at {}/{} for {}/{}, bar index {}, part {}, staff {}",
        row.midi, row.onset.0, row.onset.1, row.quarters.0, row.quarters.1, row.bar, row.part, row.staff
    )
}

/// Sorted, and the parts that have notes counted from 0.
fn in_order(rows: &[NoteRow]) -> Vec<NoteRow> {
    let mut parts: Vec<usize> = rows.iter().map(|row| row.part).collect();
    parts.sort_unstable();
    parts.dedup();
    let renumber = |row: &NoteRow| NoteRow { part: parts.binary_search(&row.part).unwrap(), ..row.clone() };
    let mut sorted: Vec<NoteRow> = rows.iter().map(renumber).collect();
    sorted.sort();
    sorted
}

pub(super) fn rows(score: &Score) -> Vec<NoteRow> {
    let fraction = |(numerator, denominator): (i64, i64)| Fraction(numerator, denominator);
    score
        .notes()
        .map(|(reference, note)| NoteRow {
            part: reference.part,
            bar: note.bar.get(),
            onset: fraction(note.onset.quarters_ratio()),
            midi: note.pitch.midi().get(),
            quarters: fraction(note.length.quarters_ratio()),
            grace: note.kind != NoteKind::Timed,
            staff: note.staff,
        })
        .collect()
}
