//! Set-up, checks and measurements of Leverlane: `cargo xtask COMMAND`, one file per command.
//!
//! Everything that a fresh machine needs is installed from here or named here, so that `cargo xtask start` and
//! `cargo xtask test` are enough to know.
#![allow(clippy::print_stdout, clippy::print_stderr, reason = "a program of the terminal speaks through it")]

mod bench;
mod conformance;
mod fuzz;
mod hearing;
mod lint;
mod notices;
mod package;
mod process;
mod python;
mod setup;
mod start;
mod system_packages;
mod test;
mod workspace;

use std::process::ExitCode;

use anyhow::{Result, bail};

/// A command: its name, what it takes, what it does in a line, and the function that does it.
struct Command {
    name: &'static str,
    takes: &'static str,
    does: &'static str,
    run: fn(&[String]) -> Result<()>,
}

/// Every command, in the order in which a newcomer meets them.
const COMMANDS: [Command; 10] = [
    Command {
        name: "start",
        takes: "[--release] [FILE]",
        does: "install what is missing, build, and open the demo piece (or FILE)",
        run: start::run,
    },
    Command {
        name: "test",
        takes: "[ARGUMENTS OF cargo test]",
        does: "install what the tests need, and run them all",
        run: test::run,
    },
    Command { name: "setup", takes: "", does: "only install what building and testing need", run: setup::run },
    Command { name: "lint", takes: "", does: "check format, lints, documentation and NOTICE", run: lint::run },
    Command {
        name: "bench",
        takes: "[reading | diary | window | FILTER]",
        does: "measure reading, planning, a diary of a million passes and what the window costs",
        run: bench::run,
    },
    Command {
        name: "conformance",
        takes: "[import | abc | midi | planning]",
        does: "compare our reading of every file of the music21 corpus with music21's",
        run: conformance::run,
    },
    Command {
        name: "fuzz",
        takes: "[TARGET] [--minutes N]",
        does: "try the readers on broken bytes, ten minutes each",
        run: fuzz::run,
    },
    Command {
        name: "hearing",
        takes: "[onsets | strings | passes | long]",
        does: "measure hearing on recordings with known truth, beside other onset detectors",
        run: hearing::run,
    },
    Command {
        name: "notices",
        takes: "[--check | --full OUT]",
        does: "write NOTICE, or the licence texts of everything in the binaries",
        run: notices::run,
    },
    Command { name: "package", takes: "", does: "make the Debian package, and try to install it", run: package::run },
];

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let Some(name) = arguments.next() else {
        print!("{}", overview());
        return ExitCode::SUCCESS;
    };
    match dispatch(&name, &arguments.collect::<Vec<_>>()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("xtask {name}: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn dispatch(name: &str, arguments: &[String]) -> Result<()> {
    match COMMANDS.iter().find(|command| command.name == name) {
        Some(command) => (command.run)(arguments),
        None if matches!(name, "help" | "--help" | "-h") => {
            print!("{}", overview());
            Ok(())
        }
        None => bail!("no such command\n{}", overview()),
    }
}

fn overview() -> String {
    let mut text = String::from("cargo xtask COMMAND\n\n");
    for command in &COMMANDS {
        let call = format!("{} {}", command.name, command.takes);
        text += &format!("  {call:<36}{}\n", command.does);
    }
    text
}

/// For commands that take nothing.
///
/// # Errors
/// Where something was given all the same.
fn expect_no_arguments(arguments: &[String]) -> Result<()> {
    match arguments.first() {
        None => Ok(()),
        Some(first) => bail!("\"{first}\" was not expected: this command takes nothing"),
    }
}
