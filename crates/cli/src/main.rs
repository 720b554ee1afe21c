//! `leverlane-cli`: Leverlane's work without a window.
//!
//! `leverlane-cli COMMAND FILE… [--json]`. Exit status 0: done. 1: refused, with exactly one line on standard error that
//! names the file, the place in it, the reason and what to do. 2: wrong usage. A reader that closes the pipe early
//! (`| head`) ends the program quietly with 0.

mod chunk_choice;
mod click_choice;
mod concert_pitch;
mod export;
mod hands_choice;
mod harp_choice;
mod hear;
mod judge;
mod lesson;
mod lever_check;
mod levers;
mod mark;
mod midi;
mod notes;
mod output;
mod passage;
mod piece;
mod plan;
mod planned;
mod programme;
mod recording;
mod refusal;
mod score_choice;
mod sheet;
mod single_plucks;
mod sound;
mod tune;
mod tunes;
mod tunings;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use output::Output;
use refusal::Refusal;

/// Plan and practise lever changes on the harp.
#[derive(Debug, Parser)]
#[command(name = "leverlane-cli", version, about, max_term_width = 100)]
struct CommandLine {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Write a lesson for a student, or tell what is in lessons and in the results that students send back.
    #[command(subcommand)]
    Lesson(lesson::Command),
    /// Write the score's own MusicXML with the flips and the levers to set in it: .musicxml or .xml, .mxl where the score is one.
    Mark(mark::Arguments),
    /// Tell what was plucked in a recording, and when.
    Hear(hear::Arguments),
    /// Judge a recorded drill, pass by pass: notes, steadiness, and what became of each flip.
    Judge(judge::Arguments),
    /// Check the levers from a recording of the strings, each open and then raised: by how many cents each raises its string.
    Levers(lever_check::Arguments),
    /// Write a piece as a MIDI file, its flips as text at their beats.
    Midi(midi::Arguments),
    /// Show the notes of a score as they were read, and the order in which its bars are played.
    Notes(notes::Arguments),
    /// Make a piece document from paper: bars without notes, and a file of lines such as "bar 12 beat 4: C5 up".
    Passage(passage::Arguments),
    /// Save a score as a piece document, with harp, hands, tempo and pace.
    Piece(piece::Arguments),
    /// Plan a piece: the levers to set before the start, and every flip with its bar, beat, hand and top tempo.
    Plan(plan::Arguments),
    /// Print the part with its flips as a PDF file, the levers to set at its head.
    Sheet(sheet::Arguments),
    /// Order pieces for playing in a row, and show which levers and strings to set between them.
    Programme(programme::Arguments),
    /// Write the sound of a drill to a WAV file: count-in, click, cue tones on the flip beats, and the notes.
    Sound(sound::Arguments),
    /// Tell how the strings are tuned, levers down, from a recording of one after the other.
    Tune(tune::Arguments),
    /// List the tunes of a file of ABC.
    Tunes(tunes::Arguments),
    /// Rank the usual tunings for a piece by what its plan costs in each.
    Tunings(tunings::Arguments),
}

fn main() -> ExitCode {
    let command_line = CommandLine::parse();
    let mut output = Output::standard();
    let done = match &command_line.command {
        Command::Lesson(command) => lesson::run(command, &mut output),
        Command::Mark(arguments) => mark::run(arguments, &mut output),
        Command::Hear(arguments) => hear::run(arguments, &mut output),
        Command::Judge(arguments) => judge::run(arguments, &mut output),
        Command::Levers(arguments) => lever_check::run(arguments, &mut output),
        Command::Midi(arguments) => midi::run(arguments, &mut output),
        Command::Notes(arguments) => notes::run(arguments, &mut output),
        Command::Passage(arguments) => passage::run(arguments, &mut output),
        Command::Piece(arguments) => piece::run(arguments, &mut output),
        Command::Plan(arguments) => plan::run(arguments, &mut output),
        Command::Sheet(arguments) => sheet::run(arguments, &mut output),
        Command::Programme(arguments) => programme::run(arguments, &mut output),
        Command::Sound(arguments) => sound::run(arguments, &mut output),
        Command::Tune(arguments) => tune::run(arguments, &mut output),
        Command::Tunes(arguments) => tunes::run(arguments, &mut output),
        Command::Tunings(arguments) => tunings::run(arguments, &mut output),
    };
    match done.and_then(|()| output.finish()) {
        Ok(()) | Err(Refusal::NobodyReads) => ExitCode::SUCCESS,
        Err(Refusal::WrongUsage(error)) => error.exit(),
        Err(Refusal::Refused(line)) => {
            output::complain(&line);
            ExitCode::FAILURE
        }
    }
}
