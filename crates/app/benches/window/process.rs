//! A program with a window, watched from outside: `proc(5)`.

use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use super::empty_window;
use super::screen::Screen;

/// How long a window may take to appear.
const PATIENCE: Duration = Duration::from_secs(60);
/// How long after that it is taken to be at rest.
const SETTLING: Duration = Duration::from_secs(5);
/// How long it is watched at rest.
const WATCHED: Duration = Duration::from_secs(10);

/// A program that was just started; it ends with its owner.
pub struct Running {
    child: Child,
    display: String,
    from: Instant,
}

/// A program whose window is there.
pub struct Opened {
    pub running: Running,
    /// So many seconds after the start.
    pub after: f64,
    /// Seconds of processor time until then.
    pub processor: f64,
}

impl Running {
    /// The window with a score.
    pub fn program(screen: &Screen, score: &Path) -> Running {
        let mut command = Command::new(env!("CARGO_BIN_EXE_leverlane"));
        Running::start(screen, command.arg(score))
    }

    /// The toolkit's window without anything.
    pub fn empty(screen: &Screen) -> Running {
        let own = std::env::current_exe().expect("this program's own file");
        Running::start(screen, Command::new(own).arg(empty_window::ASKED_FOR))
    }

    fn start(screen: &Screen, command: &mut Command) -> Running {
        let display = screen.display.clone();
        command.env("DISPLAY", &display).env_remove("WAYLAND_DISPLAY").stdout(Stdio::null()).stderr(Stdio::null());
        let from = Instant::now();
        Running { child: command.spawn().expect("the program starts"), display, from }
    }

    /// Waits until its window is called after what it shows: then the piece has been read, and is in the next picture.
    pub fn opened(mut self, title: &str) -> Opened {
        let pid = self.child.id().to_string();
        loop {
            let search = ["search", "--onlyvisible", "--all", "--pid", &pid, "--name", title];
            let search = Command::new("xdotool").args(search).env("DISPLAY", &self.display).output();
            if !search.expect("xdotool runs").stdout.is_empty() {
                let after = self.from.elapsed().as_secs_f64();
                return Opened { processor: self.processor(), running: self, after };
            }
            let ended = self.child.try_wait().expect("the program can be asked");
            assert!(ended.is_none(), "the program ended before its window appeared: {ended:?}");
            assert!(self.from.elapsed() < PATIENCE, "no window called {title} appeared");
            sleep(Duration::from_millis(5));
        }
    }

    /// The share of a core that it takes while nothing moves.
    pub fn idle(&self) -> f64 {
        sleep(SETTLING);
        let (before, from) = (self.processor(), Instant::now());
        sleep(WATCHED);
        (self.processor() - before) / from.elapsed().as_secs_f64()
    }

    /// What it holds in memory, in megabytes.
    pub fn memory(&self) -> f64 {
        let status = self.told("status");
        let kilobytes = status.lines().find_map(|line| line.strip_prefix("VmRSS:")?.trim().split(' ').next());
        kilobytes.and_then(|count| count.parse::<f64>().ok()).expect("VmRSS in kB") / 1_000.0
    }

    /// Seconds of processor time so far, of the program itself and of the kernel on its behalf.
    fn processor(&self) -> f64 {
        let stat = self.told("stat");
        // The second field is the program's name in brackets and may hold anything; user and system time are the 14th and 15th.
        let (_, after_name) = stat.rsplit_once(')').expect("a name in brackets");
        let ticks = after_name.split_whitespace().skip(11).take(2).map(|field| field.parse::<f64>().expect("ticks"));
        ticks.sum::<f64>() / ticks_per_second()
    }

    fn told(&self, file: &str) -> String {
        std::fs::read_to_string(format!("/proc/{}/{file}", self.child.id())).expect("proc tells of a running program")
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        drop(self.child.kill().and_then(|()| self.child.wait()));
    }
}

fn ticks_per_second() -> f64 {
    let output = Command::new("getconf").arg("CLK_TCK").output().expect("getconf runs");
    String::from_utf8_lossy(&output.stdout).trim().parse().expect("ticks in a second")
}
