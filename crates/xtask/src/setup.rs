//! `cargo xtask setup`: what building and testing need, without doing either.

use anyhow::Result;

use crate::python::Python;
use crate::system_packages::{TO_BUILD, TO_BUILD_ENGRAVER, TO_RUN, TO_TEST, provide};

/// Installs what is missing.
///
/// # Errors
/// Where something that building needs can't be installed.
pub fn run(arguments: &[String]) -> Result<()> {
    crate::expect_no_arguments(arguments)?;
    everything().map(|_| ())
}

/// Installs what is missing, and says which Python the tests have.
///
/// # Errors
/// Where something that building needs can't be installed.
pub fn everything() -> Result<Python> {
    provide(&[&TO_BUILD, &TO_BUILD_ENGRAVER, &TO_RUN, &TO_TEST])?;
    let python = Python::provide()?;
    if let Python::Missing(reason) = &python {
        eprintln!("\nTests against music21 and mido will be skipped: {reason}");
    }
    Ok(python)
}
