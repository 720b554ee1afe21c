//! A machine without a sound device: the refusal is a value, and nothing is written to the terminal.

#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::process::Command;

use leverlane_sound::capture::{ChannelChoice, Microphone, microphones};
use leverlane_sound::{Mix, Player};

/// In a process of its own, whose terminal can be looked at, with a configuration of ALSA that knows no device.
#[test]
fn a_missing_device_says_nothing_on_the_terminal() {
    let child = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "child_asks_for_devices", "--ignored", "--nocapture"])
        .env("ALSA_CONFIG_PATH", "/dev/null")
        .output()
        .unwrap();
    let (out, err) = (String::from_utf8_lossy(&child.stdout), String::from_utf8_lossy(&child.stderr));
    assert!(child.status.success(), "{out}{err}");
    assert!(out.contains("1 passed"), "{out}");
    assert!(!err.contains("ALSA"), "{err}");
}

#[test]
#[ignore = "needs a machine without devices; run by the test above"]
fn child_asks_for_devices() {
    assert!(Player::open(Mix::default()).is_err());
    assert!(Microphone::open(None, ChannelChoice::default()).is_err());
    assert!(microphones().is_ok_and(|found| found.is_empty()));
}
