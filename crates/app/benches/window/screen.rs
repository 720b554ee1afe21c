//! A screen in memory.

use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};

/// An X server of its own, which ends with its owner.
pub struct Screen {
    server: Child,
    /// The name of its display, which it chose itself.
    pub display: String,
}

impl Screen {
    pub fn start() -> Screen {
        // It goes on where one window is closed before the next is opened.
        let arguments = ["-displayfd", "1", "-screen", "0", "1280x800x24", "-nolisten", "tcp", "-noreset"];
        let mut command = Command::new("Xvfb");
        command.args(arguments).stdout(Stdio::piped()).stderr(Stdio::null());
        let mut server = command.spawn().expect("Xvfb starts (`cargo xtask bench` installs it)");
        let stdout = server.stdout.take().expect("its output was asked for");
        let mut number = String::new();
        BufReader::new(stdout).read_line(&mut number).expect("Xvfb names its display");
        assert!(!number.trim().is_empty(), "Xvfb ended before it had a display");
        Screen { server, display: format!(":{}", number.trim()) }
    }
}

impl Drop for Screen {
    fn drop(&mut self) {
        drop(self.server.kill().and_then(|()| self.server.wait()));
    }
}
