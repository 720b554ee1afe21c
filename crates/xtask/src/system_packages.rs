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
    /// A command that succeeds only where the set's purpose is served, whatever the packages are called there.
    proof: Option<&'static [&'static str]>,
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
pub const TO_BUILD: PackageSet = PackageSet {
    purpose: "building",
    debian: &["pkg-config", "libasound2-dev"],
    importance: Importance::Needed,
    proof: Some(&["pkg-config", "--exists", "alsa"]),
};

/// To build the engraver, which is C++20.
pub const TO_BUILD_ENGRAVER: PackageSet = PackageSet {
    purpose: "building the engraver",
    debian: &["g++"],
    importance: Importance::Needed,
    proof: Some(&["c++", "--version"]),
};

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
    proof: None,
};

/// To test what only a screen and a sound device show: a screen in memory, a hand to drive it, a sound server; and a harp
/// that isn't ours, to listen to.
pub const TO_TEST: PackageSet = PackageSet {
    purpose: "the tests of the real window, the real sound device and hearing",
    debian: &[
        "xvfb",
        "xdotool",
        "x11-utils",
        "imagemagick",
        "pulseaudio",
        "pulseaudio-utils",
        "fluidsynth",
        "timgm6mb-soundfont",
    ],
    importance: Importance::Wanted,
    proof: None,
};

/// An onset detector to compare with, by `cargo xtask hearing` only.
pub const TO_COMPARE_HEARING: PackageSet = PackageSet {
    purpose: "the comparison of onset detectors",
    debian: &["aubio-tools"],
    importance: Importance::Wanted,
    proof: None,
};

impl PackageSet {
    /// What is missing of the set, by the names of the packages that are installed.
    fn missing(&self, installed: &[String]) -> Vec<&'static str> {
        let proven = self.proof.is_some_and(|proof| succeeds(&mut program(proof[0], &proof[1..])));
        let names = self.debian.iter().copied();
        if proven { Vec::new() } else { names.filter(|name| !installed.iter().any(|found| found == name)).collect() }
    }
}

/// Sees to it that the packages are there, or says how to get them.
///
/// # Errors
/// Where a needed package is missing and can't be installed from here; on a CI machine any missing package, since there
/// nobody would read what was left out.
pub fn provide(sets: &[&PackageSet]) -> Result<()> {
    if !cfg!(target_os = "linux") {
        return Ok(());
    }
    if !succeeds(&mut program("dpkg-query", &["--version"])) {
        return look_without_dpkg(sets);
    }
    let installed = installed()?;
    let mut lacking: Vec<Lack<'_>> = sets
        .iter()
        .map(|&set| Lack { set, missing: set.missing(&installed) })
        .filter(|lack| !lack.missing.is_empty())
        .collect();
    if lacking.is_empty() {
        return Ok(());
    }
    if may_install() {
        return install(&lacking);
    }
    for Lack { set, missing } in &lacking {
        eprintln!("Missing for {}: {}", set.purpose, missing.join(" "));
    }
    let command = |lacking: &[Lack<'_>]| {
        let names: Vec<&str> = lacking.iter().flat_map(|lack| lack.missing.iter().copied()).collect();
        format!("sudo apt-get install {}", names.join(" "))
    };
    if lacking.iter().any(|lack| lack.set.importance == Importance::Needed) {
        let all = command(&lacking);
        lacking.retain(|lack| lack.set.importance == Importance::Needed);
        bail!("install what is missing, then run this again: {all}\n(the least that is needed: {})", command(&lacking));
    }
    eprintln!("Going on without them. To have them: {}", command(&lacking));
    Ok(())
}

/// What is missing of a set.
struct Lack<'a> {
    set: &'a PackageSet,
    missing: Vec<&'static str>,
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

fn install(lacking: &[Lack<'_>]) -> Result<()> {
    // A machine fresh from its image has no package lists, or old ones. A source that fails need not be the one we want.
    let mut update = program("apt-get", &["update", "--quiet"]);
    if let Err(error) = run(update.env("DEBIAN_FRONTEND", "noninteractive")) {
        eprintln!("The package lists may be old: {error:#}");
    }
    for Lack { set, missing } in lacking {
        let mut command = program("apt-get", &["install", "--yes", "--quiet", "--no-install-recommends"]);
        let done = run(command.args(missing).env("DEBIAN_FRONTEND", "noninteractive"))
            .with_context(|| format!("the system packages for {} could not be installed", set.purpose));
        match done {
            Err(error) if set.importance == Importance::Wanted && std::env::var_os("CI").is_none() => {
                eprintln!("Going on without them: {error:#}");
            }
            done => done?,
        }
    }
    Ok(())
}

/// On a Linux without Debian's package tools we can only look whether a build would find ALSA and a C++ compiler.
fn look_without_dpkg(sets: &[&PackageSet]) -> Result<()> {
    let proofs = sets.iter().filter_map(|set| set.proof);
    if proofs.into_iter().all(|proof| succeeds(&mut program(proof[0], &proof[1..]))) {
        return Ok(());
    }
    let names: Vec<&str> = sets.iter().flat_map(|set| set.debian.iter().copied()).collect();
    bail!(
        "pkg-config finds no ALSA, or there is no C++ compiler. Install them with this system's own package tool (Fedora: \
         alsa-lib-devel pkgconf-pkg-config gcc-c++; Arch: alsa-lib pkgconf gcc), and for the rest what Debian calls {}",
        names.join(" ")
    )
}
