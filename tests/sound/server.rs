//! A private PulseAudio server with null sinks, which stands in for sound devices.
//!
//! Where a device is opened is up to the environment of the process, so what opens one is this very test program started
//! anew, running one of the tests that are otherwise left out.

use std::ffi::OsStr;
use std::fs;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::Duration;

/// The null sinks' rate, and so the devices'.
pub(super) const RATE: u32 = 48_000;

/// A process that ends with the test.
pub(super) struct Ends(pub(super) Child);

impl Drop for Ends {
    fn drop(&mut self) {
        // It may have ended by itself; then there is nothing left to end.
        if self.0.kill().is_ok() {
            self.0.wait().ok();
        }
    }
}

pub(super) fn command(program: impl AsRef<OsStr>, home: &Path) -> Command {
    let mut command = Command::new(program);
    command
        .env("HOME", home)
        .env("XDG_RUNTIME_DIR", home)
        .env("XDG_CONFIG_HOME", home)
        .env("PULSE_RUNTIME_PATH", home)
        .env("PULSE_SERVER", format!("unix:{}", home.join("socket").display()))
        .env_remove("DBUS_SESSION_BUS_ADDRESS")
        .env_remove("DISPLAY");
    command
}

/// This program once more, running one of its left-out tests.
pub(super) fn this_test(name: &str, home: &Path) -> Command {
    let mut command = command(std::env::current_exe().unwrap(), home);
    command.args(["--exact", name, "--ignored", "--nocapture", "--test-threads=1"]);
    command
}

/// Runs such a test to its end; what it told, passed or failed.
pub(super) fn passed(test: &mut Command) -> Result<String, String> {
    let ended = test.output().unwrap();
    let told = String::from_utf8_lossy(&ended.stdout).into_owned() + &String::from_utf8_lossy(&ended.stderr);
    if ended.status.success() && told.contains("1 passed") { Ok(told) } else { Err(told) }
}

/// Whether the programs that stand in for a sound device are there; says so where a test must be skipped.
#[expect(clippy::print_stdout, reason = "whoever runs the tests is told what was left out")]
pub(super) fn installed(programs: &[&str]) -> bool {
    let answers = |program: &&str| {
        Command::new(program).arg("--version").stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok()
    };
    let all = programs.iter().all(answers);
    if !all {
        println!("skipped: needs PulseAudio (packages pulseaudio and pulseaudio-utils) to stand in for a sound device");
    }
    all
}

/// Makes the server the default device, and lists its source `mic.monitor` as a microphone called [`MICROPHONE`].
pub(super) fn use_pulse(home: &Path) {
    let devices = format!(
        "pcm.!default {{ type pulse }}\nctl.!default {{ type pulse }}\n\
         pcm.harp_mic {{ type pulse device mic.monitor hint {{ show on description \"{MICROPHONE}\" }} }}\n"
    );
    fs::write(home.join(".asoundrc"), devices).unwrap();
}

/// What the microphone is called that is really the monitor of the null sink `mic`.
pub(super) const MICROPHONE: &str = "Harp microphone";

fn null_sink(name: &str) -> [String; 4] {
    [format!("sink_name={name}"), "format=float32le".to_owned(), format!("rate={RATE}"), "channels=2".to_owned()]
}

/// Makes a further null sink; gives the number by which it can be unloaded.
pub(super) fn add_sink(home: &Path, name: &str) -> String {
    let made = command("pactl", home).args(["load-module", "module-null-sink"]).args(null_sink(name)).output().unwrap();
    assert!(made.status.success(), "{made:?}");
    String::from_utf8(made.stdout).unwrap().trim().to_owned()
}

/// Takes a module away again.
pub(super) fn unload(home: &Path, module: &str) {
    assert!(command("pactl", home).args(["unload-module", module]).status().unwrap().success());
}

/// A server of our own with null sinks of these names. It is up once it answers.
pub(super) fn server(home: &Path, sinks: &[&str]) -> Ends {
    let socket = home.join("socket");
    let server = command("pulseaudio", home)
        .args(["-n", "--daemonize=no", "--exit-idle-time=-1", "--use-pid-file=no", "--disable-shm=yes"])
        .args(sinks.iter().map(|name| format!("--load=module-null-sink {}", null_sink(name).join(" "))))
        .arg(format!("--load=module-native-protocol-unix auth-anonymous=1 socket={}", socket.display()))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut server = Ends(server);
    while !command("pactl", home).arg("info").stdout(Stdio::null()).stderr(Stdio::null()).status().unwrap().success() {
        assert!(server.0.try_wait().unwrap().is_none(), "the PulseAudio server has ended by itself");
        thread::yield_now();
    }
    server
}

/// Looks again and again, two minutes long at most.
pub(super) fn until(mut is_so: impl FnMut() -> bool) {
    for _ in 0..12_000 {
        if is_so() {
            return;
        }
        // Nothing is waited for by the clock; this only keeps the loop from taking a whole core.
        thread::park_timeout(Duration::from_millis(10));
    }
    panic!("waited in vain");
}
