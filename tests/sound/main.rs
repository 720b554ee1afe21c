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
mod taps;

/// Held by whatever takes a core for long, so that nothing else does while a device is listened to.
static CORES: Mutex<()> = Mutex::new(());

fn alone() -> MutexGuard<'static, ()> {
    // Another test's failure is no reason for this one's.
    CORES.lock().unwrap_or_else(PoisonError::into_inner)
}

/// On a machine busy with other things a sound server runs dry now and then, and every later sample comes late. That a device gets
/// what it should is shown by one round that comes through whole.
const ROUNDS: usize = 3;

fn in_one_round(mut round: impl FnMut() -> Result<(), String>) {
    let mut told = Vec::new();
    for _ in 0..ROUNDS {
        match round() {
            Ok(()) => return,
            Err(what) => told.push(what),
        }
    }
    panic!("no round of {ROUNDS} came through whole:\n{}", told.join("\n"));
}
