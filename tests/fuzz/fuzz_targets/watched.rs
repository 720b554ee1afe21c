//! A target with its processor time watched.

use std::time::Duration;

use cpu_time::ThreadTime;

/// The longest that an input may take: a second for each megabyte begun. It is counted in processor time, so that a busy
/// machine makes no difference.
fn most(bytes: &[u8]) -> Duration {
    Duration::from_secs(1) * u32::try_from(bytes.len() / 1_000_000 + 1).unwrap_or(u32::MAX)
}

/// Tries the bytes.
///
/// # Panics
/// Where the target does, or takes too long.
pub fn watched(target: fn(&[u8]), bytes: &[u8]) {
    let from = ThreadTime::now();
    target(bytes);
    let took = from.elapsed();
    assert!(took <= most(bytes), "{took:?} for {} bytes", bytes.len());
}
