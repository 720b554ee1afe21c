//! `cargo xtask conformance [PART…]`: our reading of scores, and our plans, against outside ones, on everything they ship.

use anyhow::{Result, bail};

use crate::process::{cargo, run as run_command};
use crate::python::Python;
use crate::setup;

/// What is compared: MusicXML's notes and playing orders, ABC tunes, MIDI files, and plans with a solver's.
const PARTS: [&str; 4] = ["import", "abc", "midi", "planning"];

/// Runs the tests of reading and planning on the whole music21 corpus instead of their usual share of it, all of them or
/// those named; this takes long.
///
/// # Errors
/// No such part, music21 can't be had, or a reading differs without a reason that the test lists.
pub fn run(arguments: &[String]) -> Result<()> {
    if let Some(unknown) = arguments.iter().find(|name| !PARTS.contains(&name.as_str())) {
        bail!("there is no part \"{unknown}\", only {}", PARTS.join(", "));
    }
    let python = setup::everything()?;
    if let Python::Missing(reason) = &python {
        bail!("there is nothing to compare with: {reason}");
    }
    let (name, value) = python.variable();
    let mut tests = cargo(&["test", "--package", "leverlane-tests"])?;
    for part in PARTS.iter().filter(|part| arguments.is_empty() || arguments.iter().any(|name| name == *part)) {
        tests.args(["--test", part]);
    }
    tests.args(["--", "--nocapture"]);
    run_command(tests.env(name, value).env("LEVERLANE_CORPUS", "all"))
}
