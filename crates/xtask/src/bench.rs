//! `cargo xtask bench`: how long the work takes, beside other readers' work, and what the window costs.

use anyhow::Result;

use crate::process::{cargo, run as run_command};
use crate::python::Python;
use crate::system_packages::{TO_BUILD, TO_BUILD_ENGRAVER, TO_RUN, TO_TEST, provide};

/// Runs everything; with `window` only the window is measured, with `reading` only our reading of scores is measured
/// beside music21's and mido's, with `diary` only a diary of a million passes is measured and 200 times killed in the middle
/// of writing, with another word only the benchmarks of reading and planning whose name holds it are run.
///
/// # Errors
/// Where something can't be built or run.
pub fn run(arguments: &[String]) -> Result<()> {
    provide(&[&TO_BUILD, &TO_BUILD_ENGRAVER, &TO_RUN, &TO_TEST])?;
    match arguments {
        [] => {
            planning(arguments)?;
            run_command(&mut cargo(&["bench", "--package", "leverlane-tests", "--bench", "growth"])?)?;
            reading()?;
            diary()?;
            window()
        }
        [only] if only == "window" => window(),
        [only] if only == "reading" => reading(),
        [only] if only == "diary" => diary(),
        filter => planning(filter),
    }
}

fn planning(filter: &[String]) -> Result<()> {
    run_command(cargo(&["bench", "--package", "leverlane-tests", "--bench", "planning", "--"])?.args(filter))
}

fn reading() -> Result<()> {
    let (name, value) = Python::provide()?.variable();
    run_command(cargo(&["bench", "--package", "leverlane-tests", "--bench", "reading"])?.env(name, value))
}

fn diary() -> Result<()> {
    run_command(&mut cargo(&["bench", "--package", "leverlane-tests", "--bench", "diary"])?)?;
    let kill = ["test", "--package", "leverlane-tests", "--test", "diary", "killed", "--", "--nocapture"];
    run_command(cargo(&kill)?.env("LEVERLANE_KILLS", "200"))
}

fn window() -> Result<()> {
    run_command(&mut cargo(&["bench", "--package", "leverlane", "--bench", "window"])?)
}
