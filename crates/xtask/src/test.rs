//! `cargo xtask test`: the whole suite.

use anyhow::Result;

use crate::process::{cargo, run as run_command};
use crate::setup;

/// Installs what the tests need, builds the programs that some of them run, and runs every test, doc examples too.
/// Arguments go on to `cargo test`.
///
/// # Errors
/// Where something needed is missing or a test fails.
pub fn run(arguments: &[String]) -> Result<()> {
    let python = setup::everything()?;
    run_command(&mut cargo(&["build", "--package", "leverlane", "--package", "leverlane-cli"])?)?;
    let (name, value) = python.variable();
    let mut tests = cargo(&["test", "--workspace", "--no-fail-fast"])?;
    run_command(tests.args(arguments).env(name, value))
}
