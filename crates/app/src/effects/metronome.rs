//! Keeping time for a loop without a sound.

use std::sync::Arc;
use std::time::{Duration, Instant};

use leverlane_core::drill::Timeline;
use leverlane_core::time::{ScoreTime, Seconds, Ticks};

use crate::state::{Loop, PassPlace};

/// Keeps time for a loop: given the moments at which it is asked, it says where the loop is.
#[derive(Clone, Debug)]
pub struct Metronome {
    looped: Arc<Loop>,
    waiting: Option<Arc<Loop>>,
    /// When the count-in began, or would have begun had every pass been one of the present loop.
    started: Instant,
    passes_before: u64,
}

impl Metronome {
    /// Begins with the count-in at the given moment.
    pub fn start(looped: Arc<Loop>, now: Instant) -> Metronome {
        Metronome { looped, waiting: None, started: now, passes_before: 0 }
    }

    /// Goes over to another loop when the present pass is over.
    pub fn next_pass(&mut self, looped: Arc<Loop>) {
        self.waiting = Some(looped);
    }

    /// The newest loop it was given.
    pub fn looped(&self) -> Arc<Loop> {
        Arc::clone(self.waiting.as_ref().unwrap_or(&self.looped))
    }

    /// The timeline it was last given.
    pub fn timeline(&self) -> &Timeline {
        &self.waiting.as_ref().unwrap_or(&self.looped).timeline
    }

    /// Where the loop is at a moment. Moments are asked in order.
    pub fn place(&mut self, now: Instant) -> PassPlace {
        let elapsed = |started: Instant| Seconds::new(now.saturating_duration_since(started).as_secs_f64());
        let place = place_after(&self.looped.timeline, elapsed(self.started));
        if place.pass > 0
            && let Some(next) = self.waiting.take()
        {
            // The new loop's first pass begins where the old one's next would; its count-in lies before, unheard.
            let first = count_in(&self.looped.timeline) + pass_length(&self.looped.timeline);
            let began = self.started + duration(first);
            self.started = began.checked_sub(duration(count_in(&next.timeline))).unwrap_or(began);
            self.looped = next;
            self.passes_before += 1;
            let place = place_after(&self.looped.timeline, elapsed(self.started));
            return PassPlace { pass: self.passes_before + place.pass, ..place };
        }
        PassPlace { pass: self.passes_before + place.pass, ..place }
    }
}

fn duration(seconds: Seconds) -> Duration {
    Duration::try_from_secs_f64(seconds.get()).unwrap_or_default()
}

fn count_in(timeline: &Timeline) -> Seconds {
    timeline.tempo.opening().lasting(timeline.count_in_length)
}

fn pass_length(timeline: &Timeline) -> Seconds {
    timeline.tempo.seconds_at(ScoreTime::from_start(timeline.length))
}

/// Where a loop is so long after its count-in began.
pub fn place_after(timeline: &Timeline, elapsed: Seconds) -> PassPlace {
    let after = elapsed - count_in(timeline);
    if after < Seconds::ZERO {
        let tick = timeline.tempo.opening().lasting(Ticks::new(1)).get();
        return PassPlace { pass: 0, at: Ticks::new((after.get() / tick).floor().min(-1.0) as i64) };
    }
    let length = pass_length(timeline).get().max(f64::MIN_POSITIVE);
    let pass = (after.get() / length).floor();
    let into = Seconds::new(after.get() - pass * length);
    PassPlace { pass: pass as u64, at: timeline.tempo.score_time_at(into).since_start() }
}

#[cfg(test)]
mod tests;
