//! The drill's sound from the outside: the samples of a file read back, and the signal that a real device gets.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::sync::{Mutex, MutexGuard, PoisonError};

mod device;
mod exact_samples;
mod listening;
mod microphone;
mod onsets;
mod piece;
mod server;
mod student;

/// Held by whatever takes a core for long, so that nothing else does while a device is listened to.
static CORES: Mutex<()> = Mutex::new(());

fn alone() -> MutexGuard<'static, ()> {
    // Another test's failure is no reason for this one's.
    CORES.lock().unwrap_or_else(PoisonError::into_inner)
}
