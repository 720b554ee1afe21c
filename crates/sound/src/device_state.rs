//! What a device's thread has met with, told to the rest of the program without a lock.

use std::sync::atomic::{AtomicU32, AtomicU64, Ordering};
use std::time::{Duration, Instant};

use rodio::CpalErrorKind;

/// Errors for so long without a sample in between, and the device has stopped. A sound server may answer with nothing
/// but errors for a moment while a stream starts.
pub(crate) const PATIENCE: Duration = Duration::from_secs(2);

/// How a device was lost.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Loss {
    /// It is gone.
    Gone,
    /// Its settings have changed under us.
    Changed,
    /// Anything else that ended the stream.
    Stopped,
}

const LOSSES: [Loss; 3] = [Loss::Gone, Loss::Changed, Loss::Stopped];

/// Counts and flags that both threads see.
#[derive(Debug)]
pub(crate) struct DeviceState {
    opened: Instant,
    /// When samples last went through, in microseconds since it was opened.
    moved_at: AtomicU64,
    xruns: AtomicU64,
    /// 0 while it runs, else a [`Loss`] by its place in [`LOSSES`], from 1.
    loss: AtomicU32,
}

impl DeviceState {
    pub(crate) fn new() -> DeviceState {
        DeviceState {
            opened: Instant::now(),
            moved_at: AtomicU64::new(0),
            xruns: AtomicU64::new(0),
            loss: AtomicU32::new(0),
        }
    }

    /// Called on the device's thread with every error.
    pub(crate) fn note(&self, kind: CpalErrorKind) {
        let loss = match kind {
            CpalErrorKind::Xrun => {
                self.xruns.fetch_add(1, Ordering::Relaxed);
                return;
            }
            // The stream runs on, only elsewhere or with less priority.
            CpalErrorKind::DeviceChanged | CpalErrorKind::RealtimeDenied => return,
            CpalErrorKind::DeviceNotAvailable | CpalErrorKind::HostUnavailable => 1,
            CpalErrorKind::StreamInvalidated => 2,
            _ if self.since_moved() < PATIENCE => return,
            _ => 3,
        };
        self.loss.store(loss, Ordering::Relaxed);
    }

    /// Called on the device's thread when samples go through.
    pub(crate) fn note_samples_moved(&self) {
        let since_opened = u64::try_from(self.opened.elapsed().as_micros()).unwrap_or(u64::MAX);
        self.moved_at.store(since_opened, Ordering::Release);
    }

    /// How long ago samples went through, or since it was opened if they never have.
    pub(crate) fn since_moved(&self) -> Duration {
        self.opened.elapsed().saturating_sub(Duration::from_micros(self.moved_at.load(Ordering::Acquire)))
    }

    /// Moments in which samples were lost at the device itself.
    pub(crate) fn xruns(&self) -> u64 {
        self.xruns.load(Ordering::Relaxed)
    }

    /// Why it no longer runs, if so.
    pub(crate) fn loss(&self) -> Option<Loss> {
        let loss = self.loss.load(Ordering::Relaxed);
        LOSSES.get((loss as usize).checked_sub(1)?).copied()
    }
}

/// An error with what lies beneath it, in one line.
pub(crate) fn reason(error: &dyn std::error::Error) -> String {
    let mut text = error.to_string();
    let mut source = error.source();
    while let Some(beneath) = source {
        text = format!("{text}: {beneath}");
        source = beneath.source();
    }
    text.replace('\n', " ")
}
