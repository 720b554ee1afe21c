//! Wrong usage is told apart from wrong input: exit status 2.

use std::io::Read;
use std::process::{Command, Stdio};

use crate::{demo, leverlane};

#[test]
fn wrong_usage() {
    let piece = demo("greensleeves.musicxml");
    let piece = piece.to_str().unwrap();
    for arguments in [
        &[][..],
        &["flip", piece],
        &["plan"],
        &["plan", piece, "--tempo", "0"],
        &["plan", piece, "--tempo", "4.9"],
        &["plan", piece, "--tempo", "401"],
        &["plan", piece, "--tempo", "NaN"],
        &["plan", piece, "--tempo", "fast"],
        &["plan", piece, "--tuning", "D"],
        &["plan", piece, "--pace", "quick"],
        &["plan", piece, "--harp", "20"],
        &["plan", piece, "--harp", "99999999999999999999"],
        &["plan", piece, "--harp", "my.ron", "--tuning", "C"],
        &["plan", piece, "--hands", "both"],
        &["plan", piece, "--hands", "split=H4"],
        &["notes", piece, "--midi"],
        &["sound", piece],
        &["sound", piece, "-o", "x.wav", "--seconds", "-1"],
        &["sound", piece, "-o", "x.wav", "--passes", "0"],
        &["sound", piece, "-o", "x.wav", "--passes", "2", "--seconds", "3"],
    ] {
        let ended = leverlane(arguments);
        assert_eq!((ended.status, ended.stdout.as_str()), (Some(2), ""), "{arguments:?}");
        assert!(!ended.stderr.is_empty() && !ended.stderr.contains("panicked"), "{arguments:?}: {}", ended.stderr);
    }
}

#[test]
fn help_and_version_are_no_errors() {
    assert!(leverlane(["--help"]).text().contains("plan"));
    assert!(leverlane(["plan", "--help"]).text().contains("--tuning"));
    assert!(leverlane(["--version"]).text().starts_with("leverlane-cli "));
}

/// As with `leverlane-cli notes … | head -c 1`.
#[test]
fn a_reader_that_leaves_early_is_no_error() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_leverlane-cli"))
        .arg("notes")
        .arg("--json")
        .arg(demo("greensleeves.musicxml"))
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut first = [0];
    let mut stdout = child.stdout.take().unwrap();
    stdout.read_exact(&mut first).unwrap();
    drop(stdout);
    let ended = child.wait_with_output().unwrap();
    assert_eq!((ended.status.code(), ended.stderr.as_slice()), (Some(0), &b""[..]));
    assert_eq!(first, *b"{");
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told() {
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let ended = Command::new(env!("CARGO_BIN_EXE_leverlane-cli"))
        .arg("plan")
        .arg(demo("greensleeves.musicxml"))
        .stdout(full)
        .output()
        .unwrap();
    assert_eq!(ended.status.code(), Some(1));
    assert!(String::from_utf8(ended.stderr).unwrap().starts_with("standard output: "));
}
