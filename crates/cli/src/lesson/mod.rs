//! `lesson make FILE -o OUT.ron` and `lesson show FILE…`: what a teacher hands out, and what comes back.

mod make;
mod show;

use clap::Subcommand;

use crate::output::Output;
use crate::refusal::Refusal;

/// What is done with lessons.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Write a lesson: the piece with its score inside, the flips to practise with their ladders, and a note.
    Make(Box<make::Arguments>),
    /// Tell what is in lessons, and put the results of several students beside each other.
    Show(show::Arguments),
}

/// Does it.
///
/// # Errors
/// Files that can't be read, written or used.
pub fn run(command: &Command, output: &mut Output) -> Result<(), Refusal> {
    match command {
        Command::Make(arguments) => make::run(arguments, output),
        Command::Show(arguments) => show::run(arguments, output),
    }
}
