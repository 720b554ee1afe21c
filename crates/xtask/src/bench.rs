//! `cargo xtask bench`: how long the work takes, and that a window at rest takes none.

use anyhow::Result;

use crate::process::{cargo, run as run_command};
use crate::system_packages::{TO_BUILD, TO_RUN, TO_TEST, provide};
use crate::window_idle;

/// Runs the benchmarks (those whose name holds the filter), then watches the idle window unless a filter was given.
///
/// # Errors
/// Where something can't be built or run, or the idle window takes more than it may.
pub fn run(arguments: &[String]) -> Result<()> {
    provide(&[&TO_BUILD, &TO_RUN, &TO_TEST])?;
    run_command(cargo(&["bench", "--package", "leverlane-tests", "--bench", "planning", "--"])?.args(arguments))?;
    if !arguments.is_empty() {
        return Ok(());
    }
    run_command(&mut cargo(&["bench", "--package", "leverlane-tests", "--bench", "growth"])?)?;
    run_command(&mut cargo(&["build", "--release", "--package", "leverlane"])?)?;
    window_idle::measure()
}
