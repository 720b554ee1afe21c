//! Packages of the operating system: what is missing is installed where we may, else named.

use anyhow::{Context, Result, bail};

use crate::process::{output, program, run, succeeds};

/// Some packages and what they are for.
pub struct PackageSet {
    /// What can't be done without them.
    pub purpose: &'static str,
    /// Their names on Debian, Ubuntu and their kin.
    pub debian: &'static [&'static str],
    /// Whether everything stops without them.
    pub importance: Importance,
}

/// Whether a set's absence ends the command.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Importance {
    /// Nothing can be built without them.
    Needed,
    /// Something is left out without them, and says so itself.
    Wanted,
}

/// To build: sound goes through ALSA, found by pkg-config.
pub const TO_BUILD: PackageSet =
    PackageSet { purpose: "building", debian: &["pkg-config", "libasound2-dev"], importance: Importance::Needed };

/// To open a window and be heard. The window's libraries are loaded when the program starts, not linked.
pub const TO_RUN: PackageSet = PackageSet {
    purpose: "the window and its sound",
    debian: &[
        "libx11-6",
        "libx11-xcb1",
        "libxcb1",
        "libxcursor1",
        "libxi6",
        "libxrandr2",
        "libxkbcommon0",
        "libxkbcommon-x11-0",
        "libwayland-client0",
        "libwayland-cursor0",
        "libwayland-egl1",
        "libasound2-plugins",
        "mesa-vulkan-drivers",
    ],
    importance: Importance::Wanted,
};

/// To test what only a screen and a sound device show: a screen in memory, a hand to drive it, a sound server.
pub const TO_TEST: PackageSet = PackageSet {
    purpose: "the tests of the real window and the real sound device",
    debian: &["xvfb", "xdotool", "x11-utils", "imagemagick", "pulseaudio", "pulseaudio-utils"],
    importance: Importance::Wanted,
};

/// Sees to it that the packages are there, or says how to get them.
///
/// # Errors
/// Where a needed package is missing and can't be installed from here.
pub fn provide(sets: &[&PackageSet]) -> Result<()> {
    if !cfg!(target_os = "linux") {
        return Ok(());
    }
    if !succeeds(&mut program("dpkg-query", &["--version"])) {
        return look_without_dpkg(sets);
    }
    let installed = installed()?;
    let missing_of = |set: &PackageSet| -> Vec<&'static str> {
        set.debian.iter().copied().filter(|name| !installed.iter().any(|found| found == name)).collect()
    };
    let missing: Vec<&str> = sets.iter().flat_map(|set| missing_of(set)).collect();
    if missing.is_empty() {
        return Ok(());
    }
    if may_install() {
        return install(&missing, sets);
    }
    let command = format!("sudo apt-get install {}", missing.join(" "));
    for set in sets.iter().filter(|set| !missing_of(set).is_empty()) {
        eprintln!("Missing for {}: {}", set.purpose, missing_of(set).join(" "));
    }
    if sets.iter().any(|set| set.importance == Importance::Needed && !missing_of(set).is_empty()) {
        bail!("install the missing packages, then run this again: {command}");
    }
    eprintln!("Going on without them. To have them: {command}");
    Ok(())
}

/// The names of the installed packages, without their architectures.
fn installed() -> Result<Vec<String>> {
    let listed = output(&mut program("dpkg-query", &["--show", "--showformat=${Package} ${db:Status-Status}\\n"]))?;
    Ok(listed.lines().filter_map(|line| line.strip_suffix(" installed")).map(str::to_owned).collect())
}

fn may_install() -> bool {
    let root = output(&mut program("id", &["-u"])).is_ok_and(|id| id.trim() == "0");
    root && succeeds(&mut program("apt-get", &["--version"]))
}

fn install(missing: &[&str], sets: &[&PackageSet]) -> Result<()> {
    // A machine fresh from its image has no package lists, or old ones.
    run(program("apt-get", &["update", "--quiet"]).env("DEBIAN_FRONTEND", "noninteractive"))?;
    let mut command = program("apt-get", &["install", "--yes", "--quiet", "--no-install-recommends"]);
    let done = run(command.args(missing).env("DEBIAN_FRONTEND", "noninteractive"));
    match done {
        Ok(()) => Ok(()),
        Err(error) if sets.iter().all(|set| set.importance == Importance::Wanted) => {
            eprintln!("Going on without them: {error:#}");
            Ok(())
        }
        Err(error) => Err(error).context("the system packages could not be installed"),
    }
}

/// On a Linux without Debian's package tools we can only look whether a build would find ALSA.
fn look_without_dpkg(sets: &[&PackageSet]) -> Result<()> {
    if succeeds(&mut program("pkg-config", &["--exists", "alsa"])) {
        return Ok(());
    }
    let names: Vec<&str> = sets.iter().flat_map(|set| set.debian.iter().copied()).collect();
    bail!(
        "pkg-config finds no ALSA. Install it with this system's own package tool (Fedora: alsa-lib-devel \
         pkgconf-pkg-config; Arch: alsa-lib pkgconf), and for the rest what Debian calls {}",
        names.join(" ")
    )
}
