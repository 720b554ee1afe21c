//! `lesson show FILE…`.
//!
//! The JSON:
//!
//! ```text
//! {"lessons":[{"file","title","note","piece","chunks":[{"string","to","start","goal"}]}],
//!  "results":[{"file","student","lesson","piece","flips":[{"flip","days":[{"day","passes","judged","clean","held"}]}]}]}
//! ```
//!
//! Tempos are quarter notes a minute, `held` null where none was; days are counted from 1 January 1970.

use std::path::{Path, PathBuf};

use clap::Args;
use leverlane_formats::documents::{FlipResult, Lesson, Results};
use leverlane_formats::{Limits, files};
use serde::Serialize;

use crate::output::Output;
use crate::refusal::Refusal;

/// The arguments of `lesson show`.
#[derive(Debug, Args)]
pub struct Arguments {
    /// Lesson files, results files, or both.
    #[arg(value_name = "FILE", required = true)]
    files: Vec<PathBuf>,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Default, Serialize)]
struct Answer {
    lessons: Vec<LessonAnswer>,
    results: Vec<ResultsAnswer>,
}

#[derive(Debug, Serialize)]
struct LessonAnswer {
    file: String,
    title: String,
    note: String,
    piece: String,
    chunks: Vec<ChunkAnswer>,
}

#[derive(Debug, Serialize)]
struct ChunkAnswer {
    string: u8,
    to: String,
    start: f64,
    goal: f64,
}

#[derive(Debug, Serialize)]
struct ResultsAnswer {
    file: String,
    student: String,
    lesson: String,
    piece: String,
    flips: Vec<FlipAnswer>,
}

#[derive(Debug, Serialize)]
struct FlipAnswer {
    flip: String,
    days: Vec<DayAnswer>,
}

#[derive(Debug, Serialize)]
struct DayAnswer {
    day: i32,
    passes: u32,
    judged: u32,
    clean: u32,
    held: Option<f64>,
}

/// Reads the files and tells what is in them.
///
/// # Errors
/// The first file that can't be read, or is neither a lesson nor results.
pub fn run(arguments: &Arguments, output: &mut Output) -> Result<(), Refusal> {
    let mut answer = Answer::default();
    for path in &arguments.files {
        read(path, &mut answer)?;
    }
    if arguments.json {
        return output.json(&answer);
    }
    for lesson in &answer.lessons {
        output.line(format!("{}: lesson \"{}\" on {}", lesson.file, lesson.title, lesson.piece))?;
        if !lesson.note.trim().is_empty() {
            output.line(format!("  {}", lesson.note))?;
        }
        for chunk in &lesson.chunks {
            let (from, to) = (chunk.start, chunk.goal);
            output.line(format!("  string {} {}, from {from} to {to} quarters a minute", chunk.string, chunk.to))?;
        }
    }
    for (flip, student, of_flip) in beside(&answer.results) {
        output.line(format!("{flip}: {student}, {of_flip}"))?;
    }
    Ok(())
}

fn read(path: &Path, answer: &mut Answer) -> Result<(), Refusal> {
    let (file, limits) = (files::shown(path), Limits::USUAL);
    let bytes = files::read(path, limits.bytes)?;
    // What it is by its own word; if it is neither, the refusal of a lesson says what was expected.
    if let Ok(results) = Results::read(&bytes, &limits) {
        let flips = results.flips.iter().map(flip_answer).collect();
        let Results { student, lesson, piece, .. } = results;
        answer.results.push(ResultsAnswer { file, student, lesson, piece, flips });
        return Ok(());
    }
    let is_results = String::from_utf8_lossy(&bytes[..bytes.len().min(400)]).contains("document: results");
    let refused = |error: &dyn std::fmt::Display| Refusal::of_file(&file, error);
    if is_results {
        Results::read(&bytes, &limits).map_err(|error| refused(&error))?;
    }
    let lesson = Lesson::read(&bytes, &limits).map_err(|error| refused(&error))?;
    let chunks = lesson.chunks.iter().map(|chunk| ChunkAnswer {
        string: chunk.flip.string.get(),
        to: chunk.flip.to.to_string(),
        start: chunk.ladder.start().quarters_per_minute(),
        goal: chunk.ladder.goal().quarters_per_minute(),
    });
    let chunks = chunks.collect();
    answer.lessons.push(LessonAnswer {
        file,
        title: lesson.title,
        note: lesson.note,
        piece: lesson.piece.title,
        chunks,
    });
    Ok(())
}

fn flip_answer(flip: &FlipResult) -> FlipAnswer {
    let days = flip.days.iter().map(|day| DayAnswer {
        day: day.day.get(),
        passes: day.passes,
        judged: day.judged,
        clean: day.clean,
        held: day.held.map(|held| held.quarters_per_minute()),
    });
    FlipAnswer { flip: flip.flip.clone(), days: days.collect() }
}

/// Every flip with each student's latest standing, the same flips beside each other.
fn beside(results: &[ResultsAnswer]) -> Vec<(String, String, String)> {
    let mut rows = Vec::new();
    for student in results {
        for flip in &student.flips {
            let sum = |count: fn(&DayAnswer) -> u32| flip.days.iter().map(count).map(u64::from).sum::<u64>();
            let held = flip.days.iter().filter_map(|day| day.held).reduce(f64::max);
            let held = held.map_or("no tempo held yet".to_owned(), |held| format!("held {held} quarters a minute"));
            let (clean, judged) = (sum(|day| day.clean), sum(|day| day.judged));
            let told = format!("{held}, {clean} of {judged} passes clean on {} days", flip.days.len());
            rows.push((format!("{}, {}", student.piece, flip.flip), student.student.clone(), told));
        }
    }
    rows.sort();
    rows
}
