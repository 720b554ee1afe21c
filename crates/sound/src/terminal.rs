//! What the system's sound library would write to the user's terminal.

/// Does something with sound devices. What ALSA has to say of it goes to the log, not to the terminal: above all on a machine
/// without a device it says a lot.
pub fn away_from_terminal<T>(work: impl FnOnce() -> T) -> T {
    #[cfg(target_os = "linux")]
    {
        // For this thread alone. Without memory for it, the lines go where they always went.
        let written = alsa::Output::local_error_handler();
        let done = work();
        if let Ok(written) = written {
            for line in written.borrow().to_string().lines() {
                log::debug!("ALSA: {line}");
            }
        }
        done
    }
    #[cfg(not(target_os = "linux"))]
    work()
}
