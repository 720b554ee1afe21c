//! How much of a core the window takes while nothing moves.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail};

use crate::process::{output, program};
use crate::workspace;

/// What the window may take at rest, as a share of one core.
const MOST: f64 = 0.01;
/// How long it is watched.
const WATCHED: Duration = Duration::from_secs(10);
/// How long after its window appeared it is taken to be at rest: the demo has been read and planned by then.
const SETTLING: Duration = Duration::from_secs(5);
/// How long its window may take to appear.
const PATIENCE: Duration = Duration::from_secs(60);

/// Opens the optimised program with the demo piece on a screen in memory, leaves it alone, and counts the processor time
/// that it takes (`proc(5)`, fields 14 and 15 of `/proc/PID/stat`).
///
/// # Errors
/// Where the window does not come up, or takes more than a hundredth of a core.
pub fn measure() -> Result<()> {
    if !cfg!(target_os = "linux") {
        bail!("the idle window is measured on Linux only, through /proc");
    }
    let ticks_per_second: f64 = output(&mut program("getconf", &["CLK_TCK"]))?.trim().parse()?;
    let (_screen, display) = screen()?;
    let mut window = Command::new(workspace::target()?.join("release/leverlane"));
    window.arg(workspace::DEMO).current_dir(workspace::root()?).env("DISPLAY", &display).env_remove("WAYLAND_DISPLAY");
    let mut window = Ended(window.stdout(Stdio::null()).spawn().context("the program can't be started")?);
    wait_for_window(&mut window, &display)?;
    sleep(SETTLING);

    let (before, from) = (processor_ticks(&window)?, Instant::now());
    sleep(WATCHED);
    let taken = (processor_ticks(&window)? - before) as f64 / ticks_per_second;
    let opening = before as f64 / ticks_per_second;
    let share = taken / from.elapsed().as_secs_f64();
    println!("opening the window and the demo: {opening:.2} s of processor time");
    println!("idle window: {:.2} % of a core over {} s (at most {} %)", share * 100.0, WATCHED.as_secs(), MOST * 100.0);
    if share > MOST {
        bail!("the window takes {:.2} % of a core while nothing moves", share * 100.0);
    }
    Ok(())
}

/// A process that ends with its owner.
struct Ended(Child);

impl Drop for Ended {
    fn drop(&mut self) {
        if let Err(error) = self.0.kill().and_then(|()| self.0.wait()) {
            eprintln!("process {} could not be ended: {error}", self.0.id());
        }
    }
}

/// A screen in memory and the name of its display, which it chooses itself.
fn screen() -> Result<(Ended, String)> {
    let arguments = ["-displayfd", "1", "-screen", "0", "1280x800x24", "-nolisten", "tcp"];
    let mut server = Ended(
        program("Xvfb", &arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .context("Xvfb can't be started; on Debian install xvfb")?,
    );
    let stdout = server.0.stdout.take().context("Xvfb gave no output")?;
    let mut number = String::new();
    BufReader::new(stdout).read_line(&mut number)?;
    if number.trim().is_empty() {
        bail!("Xvfb ended before it had a display");
    }
    Ok((server, format!(":{}", number.trim())))
}

fn wait_for_window(window: &mut Ended, display: &str) -> Result<()> {
    let from = Instant::now();
    let pid = window.0.id().to_string();
    loop {
        if let Some(status) = window.0.try_wait()? {
            bail!("the program ended before its window appeared ({status})");
        }
        let mut search = program("xdotool", &["search", "--onlyvisible", "--pid", &pid]);
        match output(search.env("DISPLAY", display)) {
            Ok(found) if !found.trim().is_empty() => return Ok(()),
            Ok(_) | Err(_) if from.elapsed() < PATIENCE => sleep(Duration::from_millis(100)),
            Ok(_) => bail!("no window appeared within {} s", PATIENCE.as_secs()),
            Err(error) => return Err(error).context("no window was found"),
        }
    }
}

/// Processor time so far, in clock ticks, of the program itself and the kernel on its behalf.
fn processor_ticks(process: &Ended) -> Result<u64> {
    let path = format!("/proc/{}/stat", process.0.id());
    let stat = std::fs::read_to_string(Path::new(&path)).with_context(|| format!("{path} can't be read"))?;
    // The second field is the program's name in brackets and may hold anything; the third follows the last bracket.
    let after_name = stat.rsplit_once(')').map_or("", |(_, rest)| rest);
    let fields: Vec<&str> = after_name.split_whitespace().collect();
    match (fields.get(11), fields.get(12)) {
        (Some(user), Some(system)) => Ok(user.parse::<u64>()? + system.parse::<u64>()?),
        _ => bail!("{path} has too few fields"),
    }
}
