//! A Python of the tests' own with music21, the outside reader that our readings of scores are compared with.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result};

use crate::process::{output, run, succeeds};
use crate::{process::program, workspace};

/// The version that the expected values were looked at with.
const MUSIC21: &str = "10.5.0";

/// Where music21 can be run, or why it can't.
pub enum Python {
    /// The interpreter that has it.
    Ready(PathBuf),
    /// The reason, in a line.
    Missing(String),
}

impl Python {
    /// Sees to it that `target/python` has music21. Without a Python or a reachable package index the reason is kept,
    /// and the tests that need it print it.
    ///
    /// # Errors
    /// Outside `cargo xtask`.
    pub fn provide() -> Result<Python> {
        let folder = workspace::target()?.join("python");
        let interpreter = folder.join(if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" });
        if has_music21(&interpreter) {
            return Ok(Python::Ready(interpreter));
        }
        Ok(match install(&folder, &interpreter) {
            Ok(()) => Python::Ready(interpreter),
            Err(error) => Python::Missing(format!("{error:#}")),
        })
    }

    /// The environment variables by which tests learn of it: the interpreter's path, or the reason why there is none.
    pub fn variable(&self) -> (&'static str, String) {
        match self {
            Python::Ready(interpreter) => ("LEVERLANE_PYTHON", interpreter.display().to_string()),
            Python::Missing(reason) => ("LEVERLANE_PYTHON_MISSING", reason.clone()),
        }
    }
}

fn has_music21(interpreter: &Path) -> bool {
    let ask = "import importlib.metadata as m; print(m.version('music21'))";
    interpreter.exists()
        && output(program(&interpreter.to_string_lossy(), &["-c", ask]).env_remove("PYTHONPATH"))
            .is_ok_and(|version| version.trim() == MUSIC21)
}

fn install(folder: &Path, interpreter: &Path) -> Result<()> {
    let python = ["python3", "python"]
        .into_iter()
        .find(|name| succeeds(&mut program(name, &["--version"])))
        .context("no python3 was found; install Python 3.11 or later")?;
    run(program(python, &["-m", "venv"]).arg(folder))
        .context("no Python environment could be made; on Debian install python3-venv")?;
    let wanted = format!("music21=={MUSIC21}");
    run(&mut program(&interpreter.to_string_lossy(), &["-m", "pip", "install", "--quiet", &wanted]))
        .context("music21 could not be installed with pip")
}
