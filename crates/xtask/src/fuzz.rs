//! `cargo xtask fuzz [TARGET] [--minutes N]`: the readers against bytes that nobody would write.
//!
//! cargo-fuzz runs each target of `tests/fuzz` from its seeds and our own scores, ten minutes unless told otherwise. A
//! panic, more than a second of processor time over one input, or more than 512 MB ends it with the input that did it.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};

use crate::process::{cargo, run as run_command, succeeds};
use crate::workspace;

/// The targets, and where scores of ours are that they begin from, beside their own seeds.
const TARGETS: [(&str, &[&str]); 7] = [
    ("musicxml", &["tests/golden/musicxml", "demo"]),
    ("mxl", &[]),
    ("abc", &["tests/golden/abc"]),
    ("midi", &[]),
    ("documents", &["demo/harps"]),
    ("paper", &[]),
    ("wav", &[]),
];

/// Memory that no input may take, in MB.
const MOST_MEMORY: u32 = 512;
/// Seconds by the clock after which an input counts as never coming back. What comes back is watched by its processor time,
/// a second for each megabyte begun: the clock runs on while other programs have the processor.
const MOST_SECONDS: u32 = 60;
/// The longest input that is tried, in bytes.
const LONGEST_INPUT: u32 = 100_000;

/// Runs one target, or all of them one after another.
///
/// # Errors
/// No such target, or an input that goes wrong: it lies in `tests/fuzz/artifacts`, and belongs among the seeds with a
/// test of its reader.
pub fn run(arguments: &[String]) -> Result<()> {
    let mut wanted: Vec<&str> = Vec::new();
    let mut minutes = 10;
    let mut words = arguments.iter();
    while let Some(word) = words.next() {
        match word.as_str() {
            "--minutes" => {
                let number = words.next().context("--minutes wants a number")?;
                minutes = number.parse().with_context(|| format!("--minutes wants a number, not \"{number}\""))?;
            }
            name => wanted.push(name),
        }
    }
    if let Some(unknown) = wanted.iter().find(|name| TARGETS.iter().all(|(target, _)| target != *name)) {
        let known: Vec<&str> = TARGETS.iter().map(|(target, _)| *target).collect();
        bail!("there is no target \"{unknown}\", only {}", known.join(", "));
    }
    if !succeeds(&mut cargo(&["fuzz", "--version"])?) {
        run_command(&mut cargo(&["install", "cargo-fuzz", "--locked"])?)?;
    }
    for (target, scores) in TARGETS.iter().filter(|(target, _)| wanted.is_empty() || wanted.contains(target)) {
        run_command(&mut fuzzing(target, scores, minutes)?)?;
    }
    Ok(())
}

fn fuzzing(target: &str, scores: &[&str], minutes: u32) -> Result<Command> {
    let root = workspace::root()?;
    let found = root.join("tests/fuzz/corpus").join(target);
    std::fs::create_dir_all(&found).with_context(|| format!("can't make {}", found.display()))?;
    let mut folders: Vec<PathBuf> = vec![found, root.join("tests/fuzz/seeds").join(target)];
    folders.extend(scores.iter().map(|folder| root.join(folder)));
    // Our code has no unsafe parts to watch over; without the sanitizer memory is what it will be for a player.
    let mut command = cargo(&["fuzz", "run", "--fuzz-dir", "tests/fuzz", "--sanitizer", "none", target])?;
    command.args(folders.iter().map(|folder| folder.strip_prefix(&root).unwrap_or(Path::new(folder))));
    command.arg("--").args([
        format!("-rss_limit_mb={MOST_MEMORY}"),
        format!("-timeout={MOST_SECONDS}"),
        format!("-max_len={LONGEST_INPUT}"),
        format!("-max_total_time={}", 60 * minutes),
        "-print_final_stats=1".to_owned(),
    ]);
    // cargo-fuzz needs compiler options that are not stable; this allows them to the compiler that is there.
    command.env("RUSTC_BOOTSTRAP", "1");
    Ok(command)
}
