//! `cargo xtask lint`: everything that can be said without running the program.

use anyhow::Result;

use crate::notices;
use crate::process::{cargo, run as run_command};

/// Checks format, lints and documentation, where every warning is an error, and that NOTICE is true.
///
/// # Errors
/// At the first check that fails.
pub fn run(arguments: &[String]) -> Result<()> {
    crate::expect_no_arguments(arguments)?;
    run_command(&mut cargo(&["fmt", "--all", "--check"])?)?;
    run_command(&mut cargo(&["clippy", "--workspace", "--all-targets", "--locked", "--", "-D", "warnings"])?)?;
    // The documentation is for the house, so links to what is private are fine.
    run_command(
        cargo(&["doc", "--workspace", "--no-deps", "--document-private-items", "--locked"])?
            .env("RUSTDOCFLAGS", "-D warnings -A rustdoc::private-intra-doc-links"),
    )?;
    notices::check()
}
