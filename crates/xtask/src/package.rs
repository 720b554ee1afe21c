//! `cargo xtask package`: the Debian package, and whether it installs.

use std::fs;
use std::path::PathBuf;

use anyhow::{Context, Result, bail};

use crate::process::{cargo, output, program, run as run_command, succeeds};
use crate::system_packages::{TO_BUILD, TO_BUILD_ENGRAVER, provide};
use crate::{notices, workspace};

/// The packager, in the version that the package's description was written for.
const PACKAGER: &str = "cargo-deb@3.8.0";

/// Builds both programs for release, packs them with their desktop entry, icon, file types and licence texts, and where we
/// may (as root, on Debian's kin) installs the package, asks the programs in it for their versions and removes it again.
///
/// # Errors
/// At the first step that fails.
pub fn run(arguments: &[String]) -> Result<()> {
    crate::expect_no_arguments(arguments)?;
    provide(&[&TO_BUILD, &TO_BUILD_ENGRAVER])?;
    run_command(&mut cargo(&["build", "--release", "--locked", "-p", "leverlane", "-p", "leverlane-cli"])?)?;
    let folder = workspace::target()?.join("package");
    fs::create_dir_all(&folder).with_context(|| format!("{} can't be made", folder.display()))?;
    notices::run(&["--full".to_owned(), folder.join("licences.txt").display().to_string()])?;
    let tools = packager()?;
    let package = folder.join("leverlane.deb");
    let mut packing = cargo(&["deb", "-p", "leverlane", "--no-build", "--no-strip", "-o"])?;
    run_command(packing.arg(&package).env("PATH", with_folder_first(&tools)?))?;
    println!("{}", package.display());
    check(&package)
}

/// The folder of the packager's program; it is built where it isn't there yet.
fn packager() -> Result<PathBuf> {
    let root = workspace::target()?.join("tools");
    if !succeeds(program(&root.join("bin/cargo-deb").to_string_lossy(), &["--version"]).env_remove("CARGO")) {
        // From outside, so that its build keeps away from ours.
        let mut install = cargo(&["install", PACKAGER, "--locked", "--root"])?;
        run_command(install.arg(&root).current_dir(std::env::temp_dir()))?;
    }
    Ok(root.join("bin"))
}

fn with_folder_first(folder: &std::path::Path) -> Result<std::ffi::OsString> {
    let rest = std::env::var_os("PATH").unwrap_or_default();
    let folders = std::iter::once(folder.to_owned()).chain(std::env::split_paths(&rest));
    std::env::join_paths(folders).context("PATH can't be extended")
}

/// Installs the package, uses it and removes it.
fn check(package: &std::path::Path) -> Result<()> {
    let is_root = output(&mut program("id", &["-u"])).is_ok_and(|id| id.trim() == "0");
    if !is_root || !succeeds(&mut program("apt-get", &["--version"])) {
        println!("not installed to check it: that needs root on Debian or its kin");
        return Ok(());
    }
    if succeeds(&mut program("dpkg-query", &["--status", "leverlane"])) {
        bail!("a package leverlane is installed already; remove it to have this one checked");
    }
    let install = ["install", "--yes", "--quiet", "--no-install-recommends"];
    run_command(program("apt-get", &install).arg(package).env("DEBIAN_FRONTEND", "noninteractive"))?;
    let used = use_it();
    run_command(&mut program("apt-get", &["remove", "--yes", "--quiet", "leverlane"]))?;
    used
}

fn use_it() -> Result<()> {
    for file in [
        "/usr/share/applications/leverlane.desktop",
        "/usr/share/icons/hicolor/scalable/apps/leverlane.svg",
        "/usr/share/mime/packages/leverlane.xml",
        "/usr/share/doc/leverlane/licences.txt",
    ] {
        fs::metadata(file).with_context(|| format!("{file} is not in the package"))?;
    }
    let said = output(&mut program("/usr/bin/leverlane-cli", &["--version"]))?;
    println!("installed: {}", said.trim());
    // The window's program needs a screen; that it starts at all shows by how it refuses what it doesn't know.
    let refused = program("/usr/bin/leverlane", &["--no-such-option"]).output().context("leverlane doesn't start")?;
    if String::from_utf8_lossy(&refused.stderr).contains("unknown option") {
        return Ok(());
    }
    bail!("leverlane starts, but doesn't answer as it should")
}
