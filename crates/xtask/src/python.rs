//! A Python of the tests' own with the outside readers that our readings of scores are compared with.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result};

use crate::process::{output, run, succeeds};
use crate::{process::program, workspace};

/// The readers: music21 for scores of every kind, mido for MIDI files, partitura for playing orders; in the versions whose
/// known differences the tests list. NumPy, SciPy and mir_eval for the figures of passes. OR-tools' solver for plans.
const READERS: [&str; 7] = [
    "music21==10.5.1",
    "mido==1.3.3",
    "partitura==1.9.0",
    "numpy==2.4.6",
    "scipy==1.17.1",
    "mir_eval==0.8.2",
    "ortools==9.15.6755",
];

/// An onset detector to compare with.
const LIBROSA: &str = "librosa==0.11.0";

/// Where the readers can be run, or why they can't.
pub enum Python {
    /// The interpreter that has them.
    Ready(PathBuf),
    /// The reason, in a line.
    Missing(String),
}

impl Python {
    /// Sees to it that `target/python` has the readers. Without a Python or a reachable package index the reason is kept,
    /// and the tests that need it print it.
    ///
    /// # Errors
    /// Outside `cargo xtask`.
    pub fn provide() -> Result<Python> {
        let folder = workspace::target()?.join("python");
        let interpreter = folder.join(if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" });
        if has_readers(&interpreter) {
            return Ok(Python::Ready(interpreter));
        }
        Ok(match install(&folder, &interpreter) {
            Ok(()) => Python::Ready(interpreter),
            Err(error) => Python::Missing(format!("{error:#}")),
        })
    }

    /// Sees to it that librosa is there too, which only the measurement of hearing compares with.
    ///
    /// # Errors
    /// Where it can't be installed; without a Python there is nothing to do.
    pub fn provide_librosa(&self) -> Result<()> {
        let Python::Ready(interpreter) = self else { return Ok(()) };
        let interpreter = interpreter.to_string_lossy();
        if succeeds(&mut program(&interpreter, &["-c", "import librosa"])) {
            return Ok(());
        }
        run(&mut program(&interpreter, &["-m", "pip", "install", "--quiet", LIBROSA]))
    }

    /// The environment variables by which tests learn of it: the interpreter's path, or the reason why there is none.
    pub fn variable(&self) -> (&'static str, String) {
        match self {
            Python::Ready(interpreter) => ("LEVERLANE_PYTHON", interpreter.display().to_string()),
            Python::Missing(reason) => ("LEVERLANE_PYTHON_MISSING", reason.clone()),
        }
    }
}

fn has_readers(interpreter: &Path) -> bool {
    let ask = "import sys; from importlib.metadata import version as v; \
               print(all(v(n) == wanted for n, wanted in (reader.split('==') for reader in sys.argv[1:])))";
    let mut asking = program(&interpreter.to_string_lossy(), &["-c", ask]);
    interpreter.exists() && output(asking.args(READERS)).is_ok_and(|answer| answer.trim() == "True")
}

fn install(folder: &Path, interpreter: &Path) -> Result<()> {
    let python = ["python3", "python"]
        .into_iter()
        .find(|name| succeeds(&mut program(name, &["--version"])))
        .context("no python3 was found; install Python 3.11 or later")?;
    run(program(python, &["-m", "venv"]).arg(folder))
        .context("no Python environment could be made; on Debian install python3-venv")?;
    let mut pip = program(&interpreter.to_string_lossy(), &["-m", "pip", "install", "--quiet"]);
    run(pip.args(READERS)).with_context(|| format!("pip could not install {}", READERS.join(" and ")))
}
