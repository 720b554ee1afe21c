//! `cargo xtask conformance`: our reading of scores against an outside one, on everything it ships.

use anyhow::{Result, bail};

use crate::process::{cargo, run as run_command};
use crate::python::Python;
use crate::setup;

/// Runs the tests of reading on the whole music21 corpus instead of their usual share of it; this takes long.
///
/// # Errors
/// Where music21 can't be had, or a reading differs without a reason that the test lists.
pub fn run(arguments: &[String]) -> Result<()> {
    crate::expect_no_arguments(arguments)?;
    let python = setup::everything()?;
    if let Python::Missing(reason) = &python {
        bail!("there is nothing to compare with: {reason}");
    }
    let (name, value) = python.variable();
    let themes = ["--test", "import", "--test", "abc", "--test", "midi", "--test", "planning"];
    let mut tests = cargo(&["test", "--package", "leverlane-tests"])?;
    tests.args(themes).args(["--", "--nocapture"]);
    run_command(tests.env(name, value).env("LEVERLANE_CORPUS", "all"))
}
