//! `leverlane [FILE]`: opens the window, with a piece if one is named.

use std::process::ExitCode;

use leverlane_app::app::{self, Start};

fn main() -> ExitCode {
    let start = match Start::from_arguments(std::env::args_os().skip(1)) {
        Ok(start) => start,
        Err(usage) => {
            complain(&usage.to_string());
            return ExitCode::from(2);
        }
    };
    match app::run(start) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            complain(&format!(
                "leverlane: the window could not be opened ({error}); check that a display is there, or use leverlane-cli"
            ));
            ExitCode::FAILURE
        }
    }
}

#[expect(clippy::print_stderr, reason = "without a window the terminal is the only place to say it")]
fn complain(line: &str) {
    eprintln!("{line}");
}
