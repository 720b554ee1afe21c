//! Where things are.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result};

/// The piece that `start` opens, from the root.
pub const DEMO: &str = "demo/greensleeves.musicxml";

/// The folder of the whole workspace.
///
/// # Errors
/// Outside `cargo xtask`, which tells where it is.
pub fn root() -> Result<PathBuf> {
    let own =
        std::env::var_os("CARGO_MANIFEST_DIR").context("run it as `cargo xtask`, which says where the files are")?;
    let root = Path::new(&own).ancestors().nth(2).context("the folder of xtask lies nowhere in a workspace")?;
    Ok(root.to_owned())
}

/// The folder that builds go to.
///
/// # Errors
/// Outside `cargo xtask`.
pub fn target() -> Result<PathBuf> {
    match std::env::var_os("CARGO_TARGET_DIR") {
        Some(target) => Ok(root()?.join(target)),
        None => Ok(root()?.join("target")),
    }
}
