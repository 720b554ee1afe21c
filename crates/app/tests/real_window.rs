//! The program itself in a real window on a virtual screen, worked by keys. Leaves a picture in the build folder.

#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::fs;
use std::io::Read;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};

/// How long anything may take to appear; generous, since the machine may be busy.
const PATIENCE: Duration = Duration::from_secs(90);

/// A process that ends with the test.
struct Ended(Child);

impl Drop for Ended {
    fn drop(&mut self) {
        // It may have ended by itself already.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

struct Screen {
    display: String,
    _server: Ended,
}

impl Screen {
    fn open(runtime: &Path) -> Screen {
        let mut server = Command::new("Xvfb")
            .args(["-displayfd", "1", "-screen", "0", "1280x800x24", "-nolisten", "tcp"])
            .env("XDG_RUNTIME_DIR", runtime)
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // The server writes the number of its display once it is ready.
        let mut out = server.stdout.take().unwrap();
        let mut number = String::new();
        let mut byte = [0];
        while out.read(&mut byte).unwrap() == 1 && byte[0] != b'\n' {
            number.push(char::from(byte[0]));
        }
        Screen { display: format!(":{number}"), _server: Ended(server) }
    }

    fn command(&self, program: &str, arguments: &[&str]) -> Output {
        Command::new(program).args(arguments).env("DISPLAY", &self.display).output().unwrap()
    }

    fn picture(&self) -> Vec<u8> {
        self.command("import", &["-window", "root", "-depth", "8", "rgb:-"]).stdout
    }

    /// Repeats a question until it is answered.
    fn wait_for<T>(&self, what: &str, mut ask: impl FnMut() -> Option<T>) -> T {
        let deadline = Instant::now() + PATIENCE;
        loop {
            if let Some(answer) = ask() {
                return answer;
            }
            assert!(Instant::now() < deadline, "waited in vain for {what}");
            std::thread::sleep(Duration::from_millis(50));
        }
    }
}

fn is_installed(program: &str) -> bool {
    Command::new("which").arg(program).stdout(Stdio::null()).status().is_ok_and(|status| status.success())
}

/// How many colours a picture has: an empty window has few, drawn text many.
fn colours(picture: &[u8]) -> usize {
    let mut seen: Vec<&[u8]> = picture.chunks_exact(3).collect();
    seen.sort_unstable();
    seen.dedup();
    seen.len()
}

/// A real window under a virtual screen, driven by keys, with a picture kept.
#[test]
fn the_demo_is_looped_by_keys_in_a_real_window() {
    for program in ["Xvfb", "xdotool", "import"] {
        if !is_installed(program) {
            println!("skipped: {program} is not installed");
            return;
        }
    }
    let target = PathBuf::from(env!("CARGO_TARGET_TMPDIR"));
    let runtime = target.join(format!("runtime-{}", std::process::id()));
    fs::create_dir_all(&runtime).unwrap();
    fs::set_permissions(&runtime, fs::Permissions::from_mode(0o700)).unwrap();
    let screen = Screen::open(&runtime);
    let mut program = Ended(
        Command::new(env!("CARGO_BIN_EXE_leverlane"))
            .arg("--demo")
            .env("DISPLAY", &screen.display)
            .env("XDG_RUNTIME_DIR", &runtime)
            .env("XDG_CONFIG_HOME", &runtime)
            .env("XDG_DATA_HOME", &runtime)
            .env_remove("WAYLAND_DISPLAY")
            .stderr(Stdio::null())
            .spawn()
            .unwrap(),
    );
    let window = screen.wait_for("the window", || {
        let found = screen.command("xdotool", &["search", "--onlyvisible", "--name", "Leverlane$"]);
        String::from_utf8(found.stdout).unwrap().lines().next().map(str::to_owned)
    });
    screen.command("xdotool", &["windowfocus", "--sync", &window]);
    // The strip and the lists are there once the picture is rich in colours and stands still.
    let mut last = Vec::new();
    let at_rest = screen.wait_for("the demo's strip", || {
        let now = screen.picture();
        let stands = now == last && colours(&now) > 300;
        last = now;
        stands.then(|| last.clone())
    });

    let press = |key: &str| {
        screen.command("xdotool", &["key", key]);
    };
    press("Page_Down");
    let second_flip = screen.wait_for("the second flip", || Some(screen.picture()).filter(|now| *now != at_rest));
    press("space");
    let in_the_drill = screen.wait_for("the Drill", || Some(screen.picture()).filter(|now| *now != second_flip));
    press("space");
    let mut pictures = vec![in_the_drill];
    screen.wait_for("the strip to move", || {
        let now = screen.picture();
        if pictures.last() != Some(&now) {
            pictures.push(now);
        }
        (pictures.len() >= 5).then_some(())
    });
    let kept = target.join("real-window.png");
    screen.command("import", &["-window", "root", kept.to_str().unwrap()]);
    println!("the window's picture: {}", kept.display());
    press("space");
    let mut last = Vec::new();
    screen.wait_for("the strip to stand still", || {
        let now = screen.picture();
        let stands = now == last;
        last = now;
        stands.then_some(())
    });
    assert!(program.0.try_wait().unwrap().is_none(), "the program still runs");
    assert!(fs::metadata(&kept).unwrap().len() > 10_000);
    fs::remove_dir_all(&runtime).unwrap();
}
