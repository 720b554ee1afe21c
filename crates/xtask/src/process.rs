//! Running other programs, each shown before it runs.

use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail};

/// The cargo that runs us, working in the workspace's root.
///
/// # Errors
/// Outside `cargo xtask`.
pub fn cargo(arguments: &[&str]) -> Result<Command> {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.args(arguments).current_dir(crate::workspace::root()?);
    Ok(command)
}

/// A program with its arguments.
pub fn program(name: &str, arguments: &[&str]) -> Command {
    let mut command = Command::new(name);
    command.args(arguments);
    command
}

/// Shows a command, runs it and waits for it.
///
/// # Errors
/// Where it can't be started or doesn't succeed.
pub fn run(command: &mut Command) -> Result<()> {
    let shown = shown(command);
    eprintln!("\n→ {shown}");
    let status = command.status().with_context(|| format!("can't start `{shown}`"))?;
    if !status.success() {
        bail!("`{shown}` failed ({status})");
    }
    Ok(())
}

/// What a command prints on its standard output; its errors are not shown.
///
/// # Errors
/// Where it can't be started or doesn't succeed.
pub fn output(command: &mut Command) -> Result<String> {
    let shown = shown(command);
    let output = command.stdin(Stdio::null()).output().with_context(|| format!("can't start `{shown}`"))?;
    if !output.status.success() {
        let said = String::from_utf8_lossy(&output.stderr);
        bail!("`{shown}` failed ({}): {}", output.status, said.trim().lines().last().unwrap_or("it gave no reason"));
    }
    Ok(String::from_utf8_lossy(&output.stdout).into_owned())
}

/// Whether a command starts and succeeds; nothing of it is shown.
pub fn succeeds(command: &mut Command) -> bool {
    command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success())
}

/// The command as one would type it, the program's folder left out.
fn shown(command: &Command) -> String {
    let program = std::path::Path::new(command.get_program()).file_name().unwrap_or(command.get_program());
    std::iter::once(program).chain(command.get_args()).map(|word| word.to_string_lossy()).collect::<Vec<_>>().join(" ")
}
