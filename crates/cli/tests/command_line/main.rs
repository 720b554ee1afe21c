//! The built program, run as a player runs it: what it answers, what it refuses, and with which exit status.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod answers;
mod bad_input;
mod demo;
mod lesson;
mod marking;
mod midi;
mod musicxml;
mod pieces;
mod recordings;
mod usage;

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use serde_json::Value;

/// What the program left behind.
struct Ended {
    status: Option<i32>,
    stdout: String,
    stderr: String,
}

fn leverlane<S: AsRef<std::ffi::OsStr>>(arguments: impl IntoIterator<Item = S>) -> Ended {
    let mut command = Command::new(env!("CARGO_BIN_EXE_leverlane-cli"));
    let output = command.args(arguments).stdin(Stdio::null()).output().unwrap();
    Ended {
        status: output.status.code(),
        stdout: String::from_utf8(output.stdout).unwrap(),
        stderr: String::from_utf8(output.stderr).unwrap(),
    }
}

impl Ended {
    /// The answer of a command that has to succeed, in silence on standard error.
    fn text(self) -> String {
        assert_eq!((self.status, self.stderr.as_str()), (Some(0), ""));
        self.stdout
    }

    fn json(self) -> Value {
        serde_json::from_str(&self.text()).unwrap()
    }

    /// The one line of a command that has to refuse: no answer, no panic, no second line.
    fn refusal(self) -> String {
        assert_eq!((self.status, self.stdout.as_str()), (Some(1), ""), "{}", self.stderr);
        let line = self.stderr.strip_suffix('\n').expect("a whole line");
        assert!(!line.is_empty() && !line.contains('\n') && line.len() < 700, "{line}");
        assert!(!line.contains("panicked"), "{line}");
        line.to_owned()
    }
}

fn demo(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo").join(name)
}

fn plan(file: &Path, more: &[&str]) -> Value {
    leverlane([&["plan", "--json", file.to_str().unwrap()], more].concat()).json()
}

fn notes(file: &Path, more: &[&str]) -> Value {
    leverlane([&["notes", "--json", file.to_str().unwrap()], more].concat()).json()
}
