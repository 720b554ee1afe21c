//! `cargo xtask hearing`: what is heard of recordings with known truth, beside its targets and other onset detectors.

use anyhow::Result;

use crate::process::{cargo, run as run_command};
use crate::python::Python;
use crate::setup;
use crate::system_packages::{TO_COMPARE_HEARING, provide};

/// Measures everything, or only the named part. Where librosa or aubio can't be had, the comparison says so.
///
/// # Errors
/// Where something can't be built or run.
pub fn run(arguments: &[String]) -> Result<()> {
    let python = setup::everything()?;
    provide(&[&TO_COMPARE_HEARING])?;
    if let Err(error) = python.provide_librosa() {
        eprintln!("no comparison with librosa: {error:#}");
    }
    if let Python::Missing(reason) = &python {
        eprintln!("no comparison by mir_eval: {reason}");
    }
    let (name, value) = python.variable();
    let mut measuring = cargo(&["bench", "--package", "leverlane-tests", "--bench", "hearing", "--"])?;
    run_command(measuring.args(arguments).env(name, value))
}
