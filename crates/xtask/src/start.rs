//! `cargo xtask start`: from nothing to the demo piece on the screen.
//!
//! The quick build is used: it is there minutes sooner than the optimised one on a first start, shares its files with the
//! tests, and is fast enough to plan and play the demo. `--release` builds the optimised one.

use anyhow::{Context, Result, bail};

use crate::process::{cargo, run as run_command};
use crate::system_packages::{TO_BUILD, TO_BUILD_ENGRAVER, TO_RUN, provide};
use crate::workspace::{self, DEMO};

/// What the command line asked for.
#[derive(Debug, PartialEq, Eq)]
struct Request<'a> {
    profile: &'static str,
    /// The piece, from where the command was given; none for the demo.
    file: Option<&'a str>,
}

/// Installs what is missing, builds and opens a piece: in the window where there is a screen, else its plan is printed.
///
/// # Errors
/// Where something needed can't be installed, the build fails, or the program ends with an error.
pub fn run(arguments: &[String]) -> Result<()> {
    let Request { profile, file } = request(arguments)?;
    // Cargo runs in the workspace's root, the command perhaps elsewhere.
    let piece = match file {
        Some(file) => std::env::current_dir().context("the current folder can't be told")?.join(file),
        None => workspace::root()?.join(DEMO),
    };
    if has_screen() {
        provide(&[&TO_BUILD, &TO_BUILD_ENGRAVER, &TO_RUN])?;
        run_command(cargo(&["run", "--package", "leverlane", "--profile", profile, "--"])?.arg(piece))
    } else {
        provide(&[&TO_BUILD, &TO_BUILD_ENGRAVER])?;
        eprintln!("No screen here (neither DISPLAY nor WAYLAND_DISPLAY is set), so the plan comes as text.");
        run_command(cargo(&["run", "--package", "leverlane-cli", "--profile", profile, "--", "plan"])?.arg(piece))
    }
}

fn request(arguments: &[String]) -> Result<Request<'_>> {
    let mut request = Request { profile: "dev", file: None };
    for argument in arguments {
        match argument.as_str() {
            "--release" => request.profile = "release",
            option if option.starts_with('-') => bail!("\"{option}\" is no option here: expected --release"),
            file if request.file.is_none() => request.file = Some(file),
            file => bail!("\"{file}\" is one file too many: one piece can be opened at a time"),
        }
    }
    Ok(request)
}

/// Whether a window has anywhere to open.
fn has_screen() -> bool {
    let is_set = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    !cfg!(target_os = "linux") || is_set("DISPLAY") || is_set("WAYLAND_DISPLAY")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<String> {
        text.split_whitespace().map(str::to_owned).collect()
    }

    #[test]
    fn what_is_asked_for() {
        assert_eq!(request(&[]).unwrap(), Request { profile: "dev", file: None });
        assert_eq!(
            request(&words("mine.mxl --release")).unwrap(),
            Request { profile: "release", file: Some("mine.mxl") }
        );
        assert!(request(&words("--fast")).is_err());
        assert!(request(&words("one.mxl two.mxl")).is_err());
    }
}
